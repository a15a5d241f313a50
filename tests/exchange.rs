//! Members in and out of other programs' formats.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::float_arithmetic, missing_docs)]

#[path = "exchange/damage.rs"]
mod damage;
#[path = "exchange/lists.rs"]
mod lists;
#[path = "exchange/models.rs"]
mod models;
#[path = "exchange/openings.rs"]
mod openings;
#[path = "exchange/own_words.rs"]
mod own_words;
#[path = "exchange/parts.rs"]
mod parts;
#[path = "exchange/public_parts.rs"]
mod public_parts;
#[path = "exchange/round_trip.rs"]
mod round_trip;
#[path = "exchange/shop.rs"]
mod shop;
#[path = "exchange/strange.rs"]
mod strange;
