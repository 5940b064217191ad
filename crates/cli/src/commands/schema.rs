//! `halfglass schema`: the JSON Schema of the loop file.

use crate::failure::Failure;
use crate::output;

pub(crate) fn run() -> Result<(), Failure> {
    output::print(&format!("{:#}\n", halfglass_loopfile::json_schema()))
}
