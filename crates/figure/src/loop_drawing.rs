use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_report::units::DisplayUnits;
pub(crate) fn draw(_: &Loop, _: &Sheets, _: &DisplayUnits) -> String {
    todo!()
}
