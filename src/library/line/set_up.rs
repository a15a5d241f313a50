//! What the line can be set up for, how long it takes, and which tools are out then.

use super::wire;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::library::common::{Found, finding, machine_time, out_of_range, unique, unknown};
use crate::library::model::{ChangeOver, Library, SetUp, Station, Tool, ToolId};
use crate::library::reading::At;
use crate::member::model::ProfileId;
use std::collections::BTreeMap;

pub(super) fn set_ups(
    wire: &wire::Line,
    library: &Library,
    stations: &[Station],
    tools: &[Tool],
    found: &mut Found,
) -> Vec<SetUp> {
    let list = &wire.set_up.value;
    if list.is_empty() {
        let help = "add a [[set-up]] with `profile` and `time`";
        let message = "the line can be set up for no profile: it can make nothing";
        out_of_range(found, wire.set_up.span, message, help);
    }
    unique(found, "the set-up of", list.iter().map(|s| &s.profile));
    let mut set_ups = Vec::new();
    for set_up in list {
        let time = machine_time(found, "time", &set_up.time);
        let mut without: Vec<ToolId> = Vec::new();
        for name in set_up.without.iter().flatten() {
            without.extend(named(wire, stations, tools, name, found));
        }
        without.sort_unstable();
        without.dedup();
        if let Some(profile) = profile(library, &set_up.profile, found) {
            set_ups.push(SetUp { profile, time, without });
        }
    }
    set_ups
}

fn profile(library: &Library, name: &At<String>, found: &mut Found) -> Option<ProfileId> {
    let id = library.profile_named(&name.value).map(|(id, _)| id);
    if id.is_none() {
        unknown(found, "profile", name, library.profiles.iter().map(|p| &*p.name));
    }
    id
}

/// The tool of this name, or all tools of the station of this name.
fn named(
    wire: &wire::Line,
    stations: &[Station],
    tools: &[Tool],
    name: &At<String>,
    found: &mut Found,
) -> Vec<ToolId> {
    let station = stations.iter().position(|s| *s.name == *name.value);
    let ids: Vec<ToolId> = tools
        .iter()
        .enumerate()
        .filter(|(_, t)| *t.name == *name.value || station == Some(usize::from(t.station.0)))
        .filter_map(|(i, _)| u16::try_from(i).ok().map(ToolId))
        .collect();
    if ids.is_empty() && station.is_none() && !super::is_written(wire, name) {
        let names = tools.iter().map(|t| &*t.name).chain(stations.iter().map(|s| &*s.name));
        unknown(found, "tool or station", name, names);
    }
    ids
}

pub(super) fn change_overs(
    wire: &wire::Line,
    library: &Library,
    set_ups: &[SetUp],
    found: &mut Found,
) -> Vec<ChangeOver> {
    let mut first: BTreeMap<(ProfileId, ProfileId), &wire::ChangeOver> = BTreeMap::new();
    let mut change_overs = Vec::new();
    for written in wire.change_over.iter().flatten() {
        let time = machine_time(found, "time", &written.time);
        let from = profile(library, &written.from, found);
        let to = profile(library, &written.to, found);
        let (Some(from), Some(to)) = (from, to) else { continue };
        if from == to {
            let message = format!("a change-over from `{0}` to `{0}`", written.to.value);
            let help = "take it out: what the line is set up for needs no time";
            out_of_range(found, written.to.span, message, help);
            continue;
        }
        for (name, id) in [(&written.from, from), (&written.to, to)] {
            if !set_ups.iter().any(|s| s.profile == id) {
                found.push(finding(
                    &codes::E0309,
                    name.span,
                    format!("the line has no set-up for `{}`", name.value),
                    "no [[set-up]] of it here",
                    format!("add a [[set-up]] for `{}`, or take the change-over out", name.value),
                ));
            }
        }
        if let Some(before) = first.get(&(from, to)) {
            found.push(
                Diagnostic::new(
                    &codes::E0308,
                    format!(
                        "the change-over from `{}` to `{}` is declared twice",
                        written.from.value, written.to.value
                    ),
                )
                .at(written.from.span, "again here")
                .at(before.from.span, "first here")
                .help("leave the one that was measured"),
            );
            continue;
        }
        first.insert((from, to), written);
        change_overs.push(ChangeOver { from, to, time });
    }
    change_overs
}
