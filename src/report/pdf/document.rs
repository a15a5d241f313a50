//! Pages with a title and bookmarks.

use super::page::{Page, Paper};
use super::unit::Pt;
use super::write;
use std::collections::BTreeMap;

/// Where a reader can jump to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Bookmark {
    /// 0 outermost; one that is more than one below the one before it is taken for one below.
    pub depth: usize,
    /// What it is called.
    pub title: String,
    /// Number of its page, from 0.
    pub page: usize,
    /// How far down it lies.
    pub y: Pt,
}

/// A paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Document {
    /// Its title, as readers show it.
    pub title: String,
    /// Its pages in order. All can be drawn on until it is written: what stands on each of them
    /// (`3 of 12`) is put there once they are counted.
    pub pages: Vec<Page>,
    /// In the order of the pages.
    pub bookmarks: Vec<Bookmark>,
}

impl Document {
    /// Without pages.
    pub fn new(title: &str) -> Document {
        Document { title: title.to_string(), pages: Vec::new(), bookmarks: Vec::new() }
    }

    /// One page more; draw on it by `document.pages`, or build pages apart and push them.
    pub fn add(&mut self, paper: Paper) -> Option<&mut Page> {
        self.pages.push(Page::new(paper));
        self.pages.last_mut()
    }

    /// Characters in its texts that the font does not have, each with the first text it stands in:
    /// on paper they stand as their numbers ([`super::settable`]), and somebody has to be told.
    pub fn lacking(&self) -> BTreeMap<char, String> {
        let mut lacking = BTreeMap::new();
        for (c, text) in self.pages.iter().flat_map(|page| &page.lacking) {
            lacking.entry(*c).or_insert_with(|| text.clone());
        }
        lacking
    }

    /// Its bytes: the same for the same document.
    pub fn bytes(&self) -> Vec<u8> {
        write::bytes(self)
    }
}
