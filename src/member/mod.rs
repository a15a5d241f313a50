//! Members: what they are ([`model`]), and how the language's trees become them ([`resolve`]).

pub mod hash;
pub mod model;
pub mod resolve;
