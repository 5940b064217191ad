//! What the pack is made of: parts of blocks. Report blocks are drawn as they are; the pack adds forms to fill in.

use halfglass_report::block::Block;

/// Room that a part in flow asks for, mm: title, opening sentence and the start of a table.
pub(crate) const LEAST_ROOM_MM: u32 = 90;

/// How a part is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Layout {
    /// Title and blocks, on a page of its own.
    Page,
    /// Title and blocks, on the page before where there is room.
    Flow,
    /// One page with a line to cut along.
    Card,
}

/// A part: it stands in contents and bookmarks.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Part {
    /// Title.
    pub(crate) title: String,
    /// Layout.
    pub(crate) layout: Layout,
    /// What must be left of a page for a part in flow to start on it, mm.
    pub(crate) room_mm: u32,
    /// One line under the title of a card.
    pub(crate) hint: String,
    /// Content.
    pub(crate) blocks: Vec<PackBlock>,
}

impl Part {
    /// A part that starts on a page of its own.
    pub(crate) fn page(title: impl Into<String>, blocks: Vec<PackBlock>) -> Self {
        Self {
            layout: Layout::Page,
            ..Self::flow(title, blocks)
        }
    }

    /// A part that may share a page with the one before.
    pub(crate) fn flow(title: impl Into<String>, blocks: Vec<PackBlock>) -> Self {
        Self {
            title: title.into(),
            layout: Layout::Flow,
            room_mm: LEAST_ROOM_MM,
            hint: String::new(),
            blocks,
        }
    }
}

/// One piece of a part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum PackBlock {
    /// As in every sheet.
    Report(Block),
    /// A figure that takes the rest of its page.
    PageFigure(halfglass_report::block::Figure),
    /// Boxes to tick.
    Checklist(Vec<Check>),
    /// A commissioning step.
    Step(Step),
    /// A table whose last columns are left blank.
    Record(Record),
}

/// One line of a checklist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Check {
    /// What must be so.
    pub(crate) text: String,
    /// The limit or the reason; may be empty.
    pub(crate) limit: String,
}

impl Check {
    /// A check without a number.
    pub(crate) fn of(text: impl Into<String>, limit: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            limit: limit.into(),
        }
    }
}

/// One thing to read in a step, with its limit stated beforehand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StepReading {
    /// What is read.
    pub(crate) what: String,
    /// Accept when.
    pub(crate) limit: String,
}

impl StepReading {
    /// A reading and its limit.
    pub(crate) fn of(what: impl Into<String>, limit: impl Into<String>) -> Self {
        Self {
            what: what.into(),
            limit: limit.into(),
        }
    }
}

/// A commissioning step.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Step {
    /// Title.
    pub(crate) title: String,
    /// Who must be there.
    pub(crate) people: String,
    /// Instruments and papers needed.
    pub(crate) instruments: String,
    /// Cautions that belong to this step.
    pub(crate) cautions: Vec<String>,
    /// What to do, in order.
    pub(crate) actions: Vec<String>,
    /// What to read.
    pub(crate) readings: Vec<StepReading>,
    /// May be struck out: the form then has room for who did so and why.
    pub(crate) may_be_struck_out: bool,
    /// What must not happen before this step is signed; empty when nothing waits for it.
    pub(crate) hold: String,
}

/// A table to fill in by hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Record {
    /// Caption.
    pub(crate) caption: String,
    /// Heads of the printed columns.
    pub(crate) columns: Vec<String>,
    /// Heads of the blank columns.
    pub(crate) blanks: Vec<String>,
    /// Printed cells.
    pub(crate) rows: Vec<Vec<String>>,
    /// A line under the table.
    pub(crate) note: String,
}
