//! A batch with another stock, bundling or keep length: every choice planned, side by side.

use super::Session;
use super::args::Form;
use super::console::renamed;
use super::disk::DiskFiles;
use super::exit::Exit;
use super::planned::Opened;
use super::shop::shown;
use super::told::Told;
use crate::diagnostic::codes::stock::{E0601, E0602};
use crate::diagnostic::{Diagnostic, any_error};
use crate::library::load_stock;
use crate::library::model::{Bundling, Stock};
use crate::library::reading;
use crate::quantity::{Length, Sources};
use crate::report::what_if::{Choice, VERSION};
use crate::report::{WhatIf, json, what_if_text};
use std::path::{Path, PathBuf};

/// What is put in the place of what the batch says; each list may be empty.
pub struct Choices<'a> {
    pub stocks: &'a [PathBuf],
    pub bundlings: &'a [Bundling],
    pub keeps: &'a [Length],
}

/// A bundling as the option has it.
pub fn bundling(text: &str) -> Result<Bundling, String> {
    match (text, text.strip_prefix("open=").map(str::parse)) {
        ("frame", _) => Ok(Bundling::Frame),
        ("none", _) => Ok(Bundling::None),
        (_, Some(Ok(open @ 1..=10_000))) => Ok(Bundling::Open(open)),
        _ => Err("frame, none, or open=N with N from 1 to 10000".to_string()),
    }
}

/// A keep length as the option has it.
pub fn keep(text: &str) -> Result<Length, String> {
    match reading::length_text(text) {
        Ok(length) if length >= Length::ZERO && length <= Length::LIMIT => Ok(length),
        _ => Err("a length with its unit, such as '3 m', not below nought".to_string()),
    }
}

fn word(bundling: Bundling) -> String {
    match bundling {
        Bundling::Frame => "frame".to_string(),
        Bundling::Open(open) => format!("open={open}"),
        Bundling::None => "none".to_string(),
    }
}

impl Choices<'_> {
    /// Whether there is anything to compare.
    pub fn any(&self) -> bool {
        !(self.stocks.is_empty() && self.bundlings.is_empty() && self.keeps.is_empty())
    }

    /// Plans every choice, the batch as it is first.
    pub fn compare(&self, session: &Session, mut opened: Opened, ticks: u64, format: Form) -> Exit {
        let stocks = match self.racks(&opened) {
            Ok(stocks) => stocks,
            Err(told) => return session.console.refuse(told),
        };
        let batch = &opened.shop.loaded.batch;
        let bundlings = in_front(batch.bundling, self.bundlings);
        let keeps = in_front(batch.keep, self.keeps);
        let before = opened.found.clone();
        let mut choices: Vec<Choice> = Vec::new();
        let of_bundling =
            |bundling: &Bundling| keeps.iter().map(|keep| (*bundling, *keep)).collect();
        let policies: Vec<(Bundling, Length)> =
            bundlings.iter().flat_map::<Vec<_>, _>(of_bundling).collect();
        let all = stocks.iter().flat_map(|stock| policies.iter().map(move |of| (stock, *of)));
        for ((name, stock), (bundling, keep)) in all {
            let loaded = &mut opened.shop.loaded;
            loaded.stock = stock.clone();
            (loaded.batch.bundling, loaded.batch.keep) = (bundling, keep);
            opened.found = before.clone();
            let plan = match opened.plan(session, ticks) {
                Ok(plan) => plan,
                Err(refusal) => return session.console.refuse(refusal),
            };
            // What is short of strip is an answer here; whatever else is wrong is wrong.
            let wrong =
                |found: &&Diagnostic| found.is_error() && ![&E0601, &E0602].contains(&found.code);
            let Some(plan) = plan.filter(|_| !opened.found.iter().any(|found| wrong(&found)))
            else {
                // Places in another stock are not among the sources of the batch.
                for found in opened.found.iter_mut().skip(before.len()) {
                    found.labels.clear();
                }
                return session.console.refuse(opened.told());
            };
            let report = opened.report(&plan, ticks);
            choices.push(Choice::of(&report, name.clone(), word(bundling), keep.nm()));
        }
        let loaded = &opened.shop.loaded;
        let (batch, line) = (loaded.batch.name.to_string(), loaded.line.name.to_string());
        let what_if = WhatIf { version: VERSION, batch, line, choices };
        opened.found = before;
        let told = session.console.tell(opened.told());
        told.max(session.console.product(&match format {
            Form::Text => what_if_text::print(&what_if, opened.shop.loaded.batch.units),
            Form::Json => json::print(&what_if),
        }))
    }

    /// The batch's stock and those named besides.
    fn racks(&self, opened: &Opened) -> Result<Vec<(String, Stock)>, Told> {
        let loaded = &opened.shop.loaded;
        let mut racks = vec![("as the batch says".to_string(), loaded.stock.clone())];
        for path in self.stocks {
            let (name, stock) = rack(path, opened)?;
            racks.push((name, stock));
        }
        Ok(racks)
    }
}

fn rack(path: &Path, opened: &Opened) -> Result<(String, Stock), Told> {
    let name = shown(path).map_err(Told::from)?;
    let mut sources = Sources::default();
    let files = DiskFiles::here();
    let (stock, found) = load_stock(&files, &mut sources, &name, &opened.shop.loaded.library);
    match stock.filter(|_| !any_error(&found)) {
        Some(stock) => Ok((name, stock)),
        None => {
            let sources = renamed(&sources, |_, name| name.to_string());
            Err(Told { found, sources, ..Told::default() })
        }
    }
}

fn in_front<T: Copy + PartialEq>(first: T, others: &[T]) -> Vec<T> {
    let mut all = vec![first];
    for other in others {
        if !all.contains(other) {
            all.push(*other);
        }
    }
    all
}
