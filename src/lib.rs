//! Knitting charts to written rows and back, with the arithmetic proved.
//!
//! Data flows one way, each stage a plain function from its input to its output and a list of findings:
//!
//! ```text
//! bytes -> read -> Grid -> chart -> Pattern -> fold -> Written -> write -> text, markdown
//! bytes -> read -> Document -> text -> Pattern
//!                                   Pattern -> check -> findings
//!                                   Pattern -> json -> Pattern
//!                                   Pattern -> draw -> csv, xlsx
//!                         Pattern, Pattern -> compare -> findings
//! ```
//!
//! * [`grid`], [`document`], [`pattern`] and [`written`] are the forms a design takes: cells, lines of text, stitches,
//!   printed rows.
//! * [`stitch`], [`terms`], [`style`] and [`settings`] say what words and symbols mean; their contents are data.
//! * [`read`], [`chart`], [`mod@text`], [`check`], [`compare`], [`fold`], [`mod@write`], [`draw`] and [`json`] are the
//!   stages; none of them names another.
//! * [`convert`] joins the stages; [`proof`] holds what they give against what went in.
//!
//! The library opens no file and prints nothing; the `longhand` binary does both.

pub mod chart;
pub mod check;
pub mod compare;
pub mod convert;
pub mod document;
pub mod draw;
pub mod fold;
pub mod grid;
pub mod json;
pub mod nearest;
pub mod pattern;
pub mod place;
pub mod problem;
pub mod proof;
pub mod read;
pub mod settings;
pub mod stitch;
pub mod style;
mod tables;
pub mod terms;
pub mod text;
pub mod words;
pub mod write;
pub mod written;
