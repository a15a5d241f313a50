//! Members as NC files.

use super::FACES;
use super::written::{Openings, mm, outlines};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::choice::{Choice, Sort};
use crate::exchange::ifc::middle;
use crate::exchange::once_each;
use crate::exchange::words::usage_words;
use crate::language::frame_kind_word;
use crate::library::model::{Library, Profile, Section};
use crate::member::model::{Feature, Frame, Job, Member};
use std::collections::BTreeSet;
use std::fmt::Write;

/// A part's file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Part {
    /// Its name: frame and mark, in letters that any system takes.
    pub name: String,
    /// Its content.
    pub text: String,
}

/// Writes one file for each member.
pub fn write(job: &Job, library: &Library, choice: &Choice) -> Result<Vec<Part>, Vec<Diagnostic>> {
    let mut found = choice.check(job, library);
    for name in &choice.pressed {
        if library.feature_named(name).is_some() {
            found.push(
                Diagnostic::new(
                    &codes::E1172,
                    format!("NC files have no words for a {name}, which is pressed"),
                )
                .note("whoever reads the file would not make it")
                .help(format!("leave it out by name: `--leave-out {name}`")),
            );
        }
    }
    let mut parts = Vec::new();
    let mut names = BTreeSet::new();
    for (frame, member) in job.members() {
        let Some(profile) = library.profile(member.shape.profile) else { continue };
        let before = found.len();
        let text = part(job, frame, member, profile, library, choice, &mut found);
        let plain = |text: &str| -> String {
            text.chars()
                .map(|c| {
                    if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '_' }
                })
                .collect()
        };
        let name = format!("{}-{}.nc1", plain(&frame.name), plain(&member.mark));
        if !names.insert(name.to_lowercase()) {
            found.push(
                Diagnostic::new(
                    &codes::E1172,
                    format!(
                        "member {} of frame {} would be written to `{name}`, as another is",
                        member.mark, frame.name
                    ),
                )
                .at(member.span, "this member")
                .help("give it a mark of other letters"),
            );
        }
        if found.len() == before {
            parts.push(Part { name, text });
        }
    }
    if found.is_empty() { Ok(parts) } else { Err(once_each(found, &[&codes::E1172])) }
}

fn part(
    job: &Job,
    frame: &Frame,
    member: &Member,
    profile: &Profile,
    library: &Library,
    choice: &Choice,
    found: &mut Vec<Diagnostic>,
) -> String {
    let shape = &member.shape;
    let mut refuse = |what: String, feature: Option<&Feature>, help: &str| {
        let span = feature.map_or(member.span, |f| f.span);
        found.push(Diagnostic::new(&codes::E1172, what).at(span, "here").help(help));
    };
    let mut name = |text: &str, what: &str| -> String {
        if !text.chars().all(|c| matches!(c, ' '..='~')) || text.starts_with('*') {
            refuse(
                format!("the {what} `{text}` has letters that NC files have not"),
                None,
                "write it in plain letters",
            );
        }
        text.to_string()
    };
    let lines = [
        name(&job.name, "job's name"),
        name(&frame.name, "frame's name"),
        name(if job.revision.is_empty() { "-" } else { &job.revision }, "revision"),
        name(&member.mark, "mark"),
        name(&profile.grade, "grade"),
    ];
    if !matches!(profile.section, Section::LippedChannel | Section::PlainChannel)
        || profile.left_flange != profile.right_flange
    {
        refuse(
            format!("{} is no channel with equal flanges", profile.name),
            None,
            "NC files are written for profile code C",
        );
    }
    let outlines = outlines(shape, profile).unwrap_or_else(|| {
        refuse(
            format!(
                "no figures tell the slope of an end of member {} from a simpler one",
                member.mark
            ),
            None,
            "export it as IFC or JSON, which keep the slope, or leave it out of what is exported",
        );
        String::new()
    });
    let mut out =
        String::from("ST\n** Written by Coilwright; the shop's library and drawing decide\n");
    for line in lines {
        let _infallible = writeln!(out, "  {line}");
    }
    let pieces = u64::from(member.quantity) * u64::from(frame.quantity);
    let _infallible = writeln!(out, "  {pieces}\n  {}\n  C", profile.name);
    let surface = profile.strip_width.times(2);
    let per_metre = profile.coated_mass.ug_per_m() + 500_000;
    for figure in [
        shape.length,
        profile.web,
        profile.left_flange,
        profile.thickness,
        profile.thickness,
        profile.radius,
    ] {
        let _infallible = writeln!(out, "  {}", mm(figure));
    }
    // Kilograms and square metres for each metre, to a thousandth.
    let _infallible =
        writeln!(out, "  {}.{:03}", per_metre / 1_000_000_000, per_metre / 1_000_000 % 1_000);
    let surface_um = surface.nm() / 1_000_000;
    let _infallible = writeln!(out, "  {}.{:03}", surface_um / 1_000, surface_um % 1_000);
    out.push_str("  0.00\n  0.00\n  0.00\n  0.00\n");
    let _infallible =
        writeln!(out, "  {}\n  {}\n  \n  ", usage_words(member.usage), frame_kind_word(frame.kind));
    out.push_str(&outlines);
    let mut openings = Openings::default();
    for feature in &shape.features {
        let Some(kind) = library.feature(feature.kind) else { continue };
        if choice.sort(&kind.name) != Some(Sort::Cut) {
            continue;
        }
        if let Some(face) =
            feature.faces.each().find(|face| !FACES.iter().any(|(_, known)| known == face))
        {
            refuse(
                format!("a {} is on the {face}, and NC files have no such face", kind.name),
                Some(feature),
                "leave its type out by name, with `--leave-out`",
            );
            continue;
        }
        for (letter, face) in FACES {
            let along = middle(feature, shape);
            if feature.faces.contains(face)
                && !openings.put((letter, face), feature, profile, along, shape)
            {
                refuse(
                    format!(
                        "a {} reaches an edge, and NC files are written with openings only",
                        kind.name
                    ),
                    Some(feature),
                    "leave its type out by name, with `--leave-out`",
                );
                break;
            }
        }
    }
    out.push_str(&openings.rectangles);
    if !openings.holes.is_empty() {
        let _infallible = write!(out, "BO\n{}", openings.holes);
    }
    out.push_str("EN\n");
    out
}
