//! One file a verb.

pub(crate) mod check;
pub(crate) mod completions;
pub(crate) mod figure;
pub(crate) mod man;
pub(crate) mod new;
pub(crate) mod pack;
pub(crate) mod schema;
pub(crate) mod serve;
pub(crate) mod sheet;
pub(crate) mod simulate;
pub(crate) mod tune;
