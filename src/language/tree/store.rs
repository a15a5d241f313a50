//! Where the nodes of a tree are kept: side by side in a few long vectors.

use super::*;
use crate::quantity::{FileId, Span};
use std::fmt;
use std::marker::PhantomData;
use std::num::NonZeroU32;

/// Bytes `[start, end)` of the tree's file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct At {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl At {
    /// As a span of `file`.
    pub const fn span(self, file: FileId) -> Span {
        Span::new(file, self.start, self.end)
    }
    /// The bytes it covers, quotes included.
    pub fn text(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize).unwrap_or("")
    }
    /// What a name or a string says: without the quotes, if it is in quotes.
    pub fn words(self, text: &str) -> &str {
        let text = self.text(text);
        text.strip_prefix('"').map_or(text, |rest| rest.strip_suffix('"').unwrap_or(rest))
    }
    /// From the start of `self` to the end of `other`.
    #[must_use]
    pub fn to(self, other: At) -> At {
        At { start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// A run of `T` in one of the tree's vectors: read it with `tree.get(slice)`.
pub struct Slice<T> {
    first: u32,
    count: u32,
    of: PhantomData<fn() -> T>,
}
impl<T> Slice<T> {
    /// Nothing.
    pub const EMPTY: Slice<T> = Slice { first: 0, count: 0, of: PhantomData };
    /// How many.
    pub const fn len(self) -> usize {
        self.count as usize
    }
    /// Whether there is none.
    pub const fn is_empty(self) -> bool {
        self.count == 0
    }
}
impl<T> Clone for Slice<T> {
    fn clone(&self) -> Slice<T> {
        *self
    }
}
impl<T> Copy for Slice<T> {}
impl<T> fmt::Debug for Slice<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}+{}", self.first, self.count)
    }
}

/// An expression of the tree: read it with `tree.expr(id)`.
#[derive(Clone, Copy, Debug)]
pub struct ExprId(NonZeroU32);

/// A members file as written, with every comment.
#[derive(Clone, Debug)]
pub struct Tree {
    /// Which file.
    pub file: FileId,
    /// Outer level, as written.
    pub items: Vec<Item>,
    /// Comments as written, from `#` to the end of the line without the line end.
    pub comments: Vec<At>,
    /// Whether anything in it could not be read.
    pub broken: bool,
    pub(in crate::language) exprs: Vec<Expr>,
    pub(in crate::language) lists: Vec<ExprId>,
    pub(in crate::language) args: Vec<Arg>,
    pub(in crate::language) params: Vec<Param>,
    pub(in crate::language) tolerances: Vec<Tolerance>,
    pub(in crate::language) settings: Vec<Setting>,
    pub(in crate::language) statements: Vec<Statement>,
    pub(in crate::language) branches: Vec<Branch>,
    pub(in crate::language) spots: Vec<Spot>,
    pub(in crate::language) marks: Vec<Marks>,
    pub(in crate::language) parts: Vec<FramePart>,
}

impl Tree {
    /// With room for what so many bytes of text usually hold.
    pub(in crate::language) fn empty(file: FileId, bytes: usize) -> Tree {
        Tree {
            file,
            items: Vec::new(),
            comments: Vec::new(),
            broken: false,
            exprs: Vec::with_capacity(bytes / 16),
            lists: Vec::new(),
            args: Vec::new(),
            params: Vec::new(),
            tolerances: Vec::new(),
            settings: Vec::with_capacity(bytes / 160),
            statements: Vec::with_capacity(bytes / 72),
            branches: Vec::new(),
            spots: Vec::with_capacity(bytes / 56),
            marks: Vec::with_capacity(bytes / 100),
            parts: Vec::with_capacity(bytes / 110),
        }
    }
    /// The children a slice of this tree means.
    pub fn get<T: Child>(&self, slice: Slice<T>) -> &[T] {
        let first = slice.first as usize;
        T::store(self).get(first..first + slice.count as usize).unwrap_or(&[])
    }
    /// The expression an id of this tree means.
    pub fn expr(&self, id: ExprId) -> Expr {
        let index = id.0.get() as usize - 1;
        self.exprs.get(index).copied().unwrap_or(Expr::Missing(At { start: 0, end: 0 }))
    }
    /// Paths of the files it includes: strings, as written.
    pub fn includes(&self) -> impl Iterator<Item = At> {
        self.items.iter().filter_map(|item| match item {
            Item::Include(_, path) => Some(*path),
            _ => None,
        })
    }
    pub(in crate::language) fn add(&mut self, expr: Expr) -> ExprId {
        self.exprs.push(expr);
        let count = u32::try_from(self.exprs.len()).unwrap_or(u32::MAX);
        ExprId(NonZeroU32::new(count).unwrap_or(NonZeroU32::MIN))
    }
    /// Moves everything from `from` on out of `scratch` into the tree.
    pub(in crate::language) fn keep<T: Child>(
        &mut self,
        scratch: &mut Vec<T>,
        from: usize,
    ) -> Slice<T> {
        let store = T::store_mut(self);
        let first = u32::try_from(store.len()).unwrap_or(u32::MAX);
        let count = u32::try_from(scratch.len() - from).unwrap_or(u32::MAX);
        store.extend(scratch.drain(from..));
        Slice { first, count, of: PhantomData }
    }
}

/// What the tree keeps in a vector of its own.
pub trait Child: Sized {
    #[doc(hidden)]
    fn store(tree: &Tree) -> &Vec<Self>;
    #[doc(hidden)]
    fn store_mut(tree: &mut Tree) -> &mut Vec<Self>;
}

macro_rules! children {
    ($($kind:ty: $field:ident),* $(,)?) => {
        $(impl Child for $kind {
            fn store(tree: &Tree) -> &Vec<$kind> {
                &tree.$field
            }
            fn store_mut(tree: &mut Tree) -> &mut Vec<$kind> {
                &mut tree.$field
            }
        })*
    };
}
children! {
    ExprId: lists,
    Arg: args,
    Param: params,
    Tolerance: tolerances,
    Setting: settings,
    Statement: statements,
    Branch: branches,
    Spot: spots,
    Marks: marks,
    FramePart: parts,
}
