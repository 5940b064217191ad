//! A working: how a number came about. Every printed number can be opened to one.

/// One input of a working.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkingInput {
    /// The formula's symbol.
    pub symbol: &'static str,
    /// What it is.
    pub name: String,
    /// Value in SI.
    pub value: f64,
    /// SI unit, `-` for a ratio.
    pub unit: &'static str,
}

/// How a number came about: formula, inputs, result, source, range of validity.
#[derive(Debug, Clone, PartialEq)]
pub struct Working {
    /// What was computed.
    pub title: String,
    /// The formula in plain text with the symbols of `inputs`.
    pub formula: &'static str,
    /// The inputs.
    pub inputs: Vec<WorkingInput>,
    /// The result in SI.
    pub result: f64,
    /// The result's SI unit.
    pub unit: &'static str,
    /// Where the formula is from.
    pub source: &'static str,
    /// Where it holds.
    pub validity: &'static str,
}

impl Working {
    /// A working without inputs yet.
    pub fn new(
        title: impl Into<String>,
        formula: &'static str,
        result: f64,
        unit: &'static str,
        source: &'static str,
        validity: &'static str,
    ) -> Self {
        Self {
            title: title.into(),
            formula,
            inputs: Vec::new(),
            result,
            unit,
            source,
            validity,
        }
    }

    /// Adds an input.
    #[must_use]
    pub fn with(
        mut self,
        symbol: &'static str,
        name: impl Into<String>,
        value: f64,
        unit: &'static str,
    ) -> Self {
        self.inputs.push(WorkingInput {
            symbol,
            name: name.into(),
            value,
            unit,
        });
        self
    }
}
