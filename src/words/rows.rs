//! Which rows a line is about, and rows told by others: "Row 1 (RS):", "Rows 2 and 4:", "Rep Rows 1-8 twice more".

pub(crate) mod again;
pub(crate) mod edges;
pub(crate) mod facts;
pub(crate) mod head;
pub(crate) mod label;
pub(crate) mod lex;
pub(crate) mod sized;
pub(crate) mod ways;
