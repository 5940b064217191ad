//! The blocks that every sheet is written in. Terminal, page and pack draw the same blocks.

use halfglass_core::finding::Severity;

/// A titled part of the report, one per sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    /// Stable id, kebab-case: survey, level-map, range, error-map, glass,
    /// uncertainty, feedwater, wiring, settings, tuning, signal-loss, purchase, findings, assumptions, workings.
    pub id: &'static str,
    /// Title as printed.
    pub title: String,
    /// Content in reading order.
    pub blocks: Vec<Block>,
}

/// One piece of a section.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading inside the section.
    Heading(String),
    /// Running text.
    Paragraph(String),
    /// A caution: printed with a rule and the word CAUTION.
    Caution(String),
    /// Labelled values.
    Values(Vec<ValueRow>),
    /// A table.
    Table(Table),
    /// A figure, drawn by crate figure.
    Figure(Figure),
    /// Findings, gravest first.
    Findings(Vec<FindingRow>),
    /// An ordered list.
    Steps(Vec<String>),
    /// Workings.
    Workings(Vec<WorkingRow>),
}

impl Block {
    /// Running text.
    pub fn paragraph(words: impl Into<String>) -> Self {
        Block::Paragraph(words.into())
    }

    /// A heading.
    pub fn heading(words: impl Into<String>) -> Self {
        Block::Heading(words.into())
    }

    /// A caution.
    pub fn caution(words: impl Into<String>) -> Self {
        Block::Caution(words.into())
    }

    /// A figure.
    pub fn figure(id: FigureId, caption: impl Into<String>, alt: impl Into<String>) -> Self {
        Block::Figure(Figure {
            id,
            caption: caption.into(),
            alt: alt.into(),
        })
    }
}

/// A labelled value.
#[derive(Debug, Clone, PartialEq)]
pub struct ValueRow {
    /// What it is.
    pub label: String,
    /// The value with its unit.
    pub value: String,
    /// A remark, may be empty.
    pub note: String,
    /// Titles of the workings behind it, may be empty; see [`crate::behind`].
    pub workings: Vec<String>,
}

impl ValueRow {
    /// A value without a remark.
    pub fn new(label: impl Into<String>, value: impl Into<String>) -> Self {
        Self::noted(label, value, "")
    }

    /// A value with a remark.
    pub fn noted(
        label: impl Into<String>,
        value: impl Into<String>,
        note: impl Into<String>,
    ) -> Self {
        Self {
            label: label.into(),
            value: value.into(),
            note: note.into(),
            workings: Vec::new(),
        }
    }
}

/// How a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// A column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Head, with the unit: `true level, in`.
    pub head: String,
    /// Alignment.
    pub align: Align,
}

impl Column {
    /// A column of words.
    pub fn words(head: impl Into<String>) -> Self {
        Self {
            head: head.into(),
            align: Align::Left,
        }
    }

    /// A column of numbers.
    pub fn numbers(head: impl Into<String>) -> Self {
        Self {
            head: head.into(),
            align: Align::Right,
        }
    }

    /// Does it hold numbers.
    pub fn is_number(&self) -> bool {
        self.align == Align::Right
    }
}

/// A table; every row has as many cells as there are columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Caption, may be empty.
    pub caption: String,
    /// Columns.
    pub columns: Vec<Column>,
    /// Cells.
    pub rows: Vec<Vec<String>>,
    /// Titles of the workings behind its numbers, may be empty; see [`crate::behind`].
    pub workings: Vec<String>,
}

impl Table {
    /// A table without rows yet.
    pub fn new(caption: impl Into<String>, columns: Vec<Column>) -> Self {
        Self {
            caption: caption.into(),
            columns,
            rows: Vec::new(),
            workings: Vec::new(),
        }
    }

    /// The table with these rows, each as long as there are columns.
    #[must_use]
    pub fn with_rows(mut self, rows: Vec<Vec<String>>) -> Self {
        debug_assert!(
            rows.iter().all(|row| row.len() == self.columns.len()),
            "a row of table {:?} is not as long as its columns",
            self.caption
        );
        self.rows = rows;
        self
    }
}

/// Which figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureId {
    /// Vessel, taps, pot, legs, cell, glass and marks to scale on one ruler.
    LevelMap,
    /// Indicated minus true over pressure, one curve a level.
    ErrorMap,
    /// Differential against level: hot, bench and as-found range.
    RangeChart,
    /// Glass, vessel and panel side by side for the wall.
    GlassCard,
    /// True level after the largest load change: chosen, as found, habit.
    TuningResponse,
    /// Gain against reset: where the deviation is held, where it is robust.
    TuningWindow,
    /// Installed flow against travel: the chosen valve and its neighbours, the duties on them.
    ValveChoice,
    /// Supply and system against flow: the gap is the valve's drop.
    SupplyCurve,
    /// Share of each input in the variance of panel and glass.
    UncertaintyBudget,
    /// Every wire of the loop between bubbles.
    LoopDrawing,
    /// Taps, pot, legs, manifold and cell to scale in height.
    HookUp,
}

impl FigureId {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::LevelMap,
        Self::ErrorMap,
        Self::RangeChart,
        Self::GlassCard,
        Self::TuningResponse,
        Self::TuningWindow,
        Self::ValveChoice,
        Self::SupplyCurve,
        Self::UncertaintyBudget,
        Self::LoopDrawing,
        Self::HookUp,
    ];

    /// Stable file stem.
    pub const fn stem(self) -> &'static str {
        match self {
            FigureId::LevelMap => "level-map",
            FigureId::ErrorMap => "error-map",
            FigureId::RangeChart => "range-chart",
            FigureId::GlassCard => "glass-card",
            FigureId::TuningResponse => "tuning-response",
            FigureId::TuningWindow => "tuning-window",
            FigureId::ValveChoice => "valve-choice",
            FigureId::SupplyCurve => "supply-curve",
            FigureId::UncertaintyBudget => "uncertainty-budget",
            FigureId::LoopDrawing => "loop-drawing",
            FigureId::HookUp => "hook-up",
        }
    }
}

/// A figure reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Which.
    pub id: FigureId,
    /// Caption.
    pub caption: String,
    /// What it shows, in words, for who cannot see it and for the terminal.
    pub alt: String,
}

/// A finding in print.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingRow {
    /// Severity.
    pub severity: Severity,
    /// Code.
    pub code: &'static str,
    /// What, consequence, remedy.
    pub text: [String; 3],
    /// Input that causes it, may be empty.
    pub input: &'static str,
}

/// A working in print: SI throughout.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingRow {
    /// What was computed.
    pub title: String,
    /// Formula.
    pub formula: &'static str,
    /// `symbol = value unit (name)` each.
    pub inputs: Vec<String>,
    /// `value unit`.
    pub result: String,
    /// Source.
    pub source: &'static str,
    /// Validity.
    pub validity: &'static str,
}
