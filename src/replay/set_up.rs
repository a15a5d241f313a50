use super::Situation;
use super::refusals::Refusals;
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::program::{Event, Program};
use std::collections::BTreeSet;

/// Whether the program is for what stands at the line, and the coil is the strip it needs.
pub(super) fn check(program: &Program, situation: &Situation, refusals: &mut Refusals) {
    let Situation { line, library, coil, profile: id, .. } = *situation;
    let Some(profile) = library.profile(id) else {
        refusals.add(None, || {
            Diagnostic::new(&codes::E0828, "the profile to roll is not in the library")
                .help("name a profile that the library describes")
        });
        return;
    };
    let named = [
        ("line", &program.line, &line.name),
        ("profile", &program.profile, &profile.name),
        ("coil", &program.coil, &coil.id),
    ];
    for (what, meant, here) in named {
        if meant != here {
            refusals.add(None, || {
                let message = format!(
                    "program `{}` is for {what} `{meant}`; at the line is `{here}`",
                    program.id
                );
                Diagnostic::new(&codes::E0825, message)
                    .help("run it where its papers say, or compile for what stands at the line")
            });
        }
    }
    if !line.set_ups.iter().any(|set_up| set_up.profile == id) {
        refusals.add(None, || {
            let message =
                format!("line `{}` cannot be set up for profile `{}`", line.name, profile.name);
            Diagnostic::new(&codes::E0825, message)
                .help("add a set-up for the profile to the line file, or take another line")
        });
    }
    if coil.bar.is_some() && line.bars.is_none() {
        refusals.add(None, || {
            let message = format!("`{}` is a bar, and line `{}` takes none", coil.id, line.name);
            Diagnostic::new(&codes::E0861, message).help(
                "add [bar] with `head`, `tail` and `change` to the line file, or take another line",
            )
        });
    }
    let mut out = BTreeSet::new();
    for (index, event) in program.events.iter().enumerate() {
        let Event::Stop { strokes, .. } = event else { continue };
        for stroke in strokes.iter().filter(|stroke| !line.is_mounted(stroke.tool, id)) {
            let Some(tool) = line.tool(stroke.tool).filter(|_| out.insert(stroke.tool)) else {
                continue;
            };
            refusals.add(Some(index), || {
                let message = format!(
                    "tool `{}` fires, and cannot be used when the line is set up for `{}`",
                    tool.name, profile.name
                );
                Diagnostic::new(&codes::E0860, message).help(
                    "compile again for this line, or take the tool out of the set-up's `without`",
                )
            });
        }
    }
    let strip = [
        ("strip width", coil.strip_width.to_string(), profile.strip_width.to_string()),
        ("thickness", coil.thickness.to_string(), profile.thickness.to_string()),
        ("grade", coil.grade.to_string(), profile.grade.to_string()),
        ("coating", coil.coating.to_string(), profile.coating.name.to_string()),
    ];
    for (what, has, needs) in strip {
        if has != needs {
            refusals.add(None, || {
                let message = format!(
                    "coil `{}` has {what} {has}; profile `{}` needs {needs}",
                    coil.id, profile.name
                );
                Diagnostic::new(&codes::E0826, message)
                    .help("load a coil of the right strip, or correct the stock file")
            });
        }
    }
    if program.warm && !coil.threaded {
        refusals.add(None, || {
            let message = format!(
                "program `{}` counts on coil `{}` being threaded, with a clean cut at the shear",
                program.id, coil.id
            );
            Diagnostic::new(&codes::E0827, message)
                .help("compile again for a fresh thread-up, or say in the stock file that the coil is threaded")
        });
    }
}
