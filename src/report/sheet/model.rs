//! What a paper says, apart from how it is printed: sections of blocks of words.

use crate::library::model::Units;

/// A few words set alike, or room to write some.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Word {
    /// As most of it.
    Plain(String),
    /// To be seen first.
    Bold(String),
    /// Named, not said: a part of the line, a manner.
    Italic(String),
    /// To be typed or compared letter for letter.
    Code(String),
    /// Room to write in, so many letters wide.
    Blank(usize),
}

/// A text.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Words(pub Vec<Word>);

impl Words {
    /// Goes on with these words.
    pub fn plain(mut self, text: impl Into<String>) -> Words {
        self.0.push(Word::Plain(text.into()));
        self
    }
    /// Goes on in bold.
    pub fn bold(mut self, text: impl Into<String>) -> Words {
        self.0.push(Word::Bold(text.into()));
        self
    }
    /// Goes on in italics.
    pub fn italic(mut self, text: impl Into<String>) -> Words {
        self.0.push(Word::Italic(text.into()));
        self
    }
    /// Goes on with what is typed or compared letter for letter.
    pub fn code(mut self, text: impl Into<String>) -> Words {
        self.0.push(Word::Code(text.into()));
        self
    }
    /// Goes on with room to write in.
    pub fn blank(mut self, letters: usize) -> Words {
        self.0.push(Word::Blank(letters));
        self
    }
    /// What it says, however it is set.
    pub fn text(&self) -> String {
        let texts = self.0.iter().map(|word| match word {
            Word::Plain(text) | Word::Bold(text) | Word::Italic(text) | Word::Code(text) => &**text,
            Word::Blank(_) => "",
        });
        texts.collect()
    }
}

/// In bold from the beginning.
pub fn bold(text: impl Into<String>) -> Words {
    Words::default().bold(text)
}

impl From<&str> for Words {
    fn from(text: &str) -> Words {
        Words::default().plain(text)
    }
}
impl From<String> for Words {
    fn from(text: String) -> Words {
        Words::default().plain(text)
    }
}

/// A part of a section.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Block {
    /// What follows is about this; 2 is what a section begins with, 3 lies below it.
    Heading(u8, Words),
    /// Said in sentences.
    Prose(Words),
    /// What the table after it shows: never parted from it.
    Caption(Words),
    /// One entry of a list.
    Item(Words),
    /// What can hurt: a list that stands out.
    Cautions(Vec<Words>),
    /// Rows and columns.
    Table(Table),
    /// Where somebody stands for something with a name.
    SignOff(Words),
}

/// A column of a table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Column {
    /// What stands above it.
    pub head: String,
    /// Whether it is flush right, as figures are.
    pub right: bool,
    /// Room it has at least, in letters: for what is written in by hand.
    pub room: usize,
}

/// One cell.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Cell {
    /// What it says.
    pub words: Words,
    /// Whether the row above says the same: it is said again only where a new page begins.
    pub again: bool,
}

impl Cell {
    /// The same as in the row above.
    pub fn again(words: impl Into<Words>) -> Cell {
        Cell { words: words.into(), again: true }
    }
}

impl<T: Into<Words>> From<T> for Cell {
    fn from(words: T) -> Cell {
        Cell { words: words.into(), again: false }
    }
}

/// Rows and columns.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Table {
    /// From left to right.
    pub columns: Vec<Column>,
    /// From top to bottom, a cell for each column.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// With these heads; columns named in `right` are flush right.
    pub fn new(heads: &[&str], right: &[usize], rows: Vec<Vec<Cell>>) -> Table {
        let column = |(i, head): (usize, &&str)| Column {
            head: (*head).to_string(),
            right: right.contains(&i),
            room: 0,
        };
        Table { columns: heads.iter().enumerate().map(column).collect(), rows }
    }
    /// With room to write in a column.
    pub fn with_room(mut self, column: usize, letters: usize) -> Table {
        if let Some(column) = self.columns.get_mut(column) {
            column.room = letters;
        }
        self
    }
    /// Whether no column has a head.
    pub fn is_headless(&self) -> bool {
        self.columns.iter().all(|column| column.head.is_empty())
    }
}

/// What belongs together: on paper it begins a page where it asks for one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Section {
    /// Jobs it concerns, for the head of its pages.
    pub jobs: Vec<String>,
    /// Whether it begins a page.
    pub own_page: bool,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// A paper.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Sheet {
    /// What kind of paper it is: `Run sheet`.
    pub kind: &'static str,
    /// The batch it is of.
    pub batch: String,
    /// What its figures are in; also what paper it is printed on.
    pub units: Units,
    /// In order.
    pub sections: Vec<Section>,
}

impl Sheet {
    /// What it is called.
    pub fn title(&self) -> String {
        format!("{}: batch {}", self.kind, self.batch)
    }
}
