//! The first run of a scenario behind a Modbus TCP server, as time goes by.

use std::net::SocketAddr;

use halfglass_link::{LinkError, practise};
use halfglass_loopfile::ScenarioFile;
use halfglass_report::sections::SIMULATION;

use crate::failure::Failure;
use crate::input::Worked;

pub(super) fn serve(
    worked: &Worked,
    scenario: &ScenarioFile,
    address: SocketAddr,
    speed: f64,
) -> Result<(), Failure> {
    let (_, first) = &scenario.runs[0];
    let tag = &worked.the_loop.identity.tag;
    practise(
        (&worked.the_loop, &worked.sheets, first),
        (address, speed),
        |listening| {
            anstream::eprintln!("{SIMULATION}: {}, {tag}", first.name);
            anstream::eprintln!("  Modbus TCP  {listening}");
            if !listening.ip().is_loopback() {
                anstream::eprintln!(
                    "Modbus has neither a pass-code nor encryption: anyone on this network can read and write it."
                );
            }
            anstream::eprintln!("Ctrl-C ends it.");
        },
        |why| {
            anstream::eprintln!(
                "the run has ended: {why}; the registers keep the last values and say so"
            );
        },
    )
    .map_err(|error| match error {
        LinkError::Listen { .. } => Failure::Usage {
            what: error.to_string(),
            help: "choose another address and port with --serve-modbus; ports below 1024 want rights of their own".into(),
        },
        other => Failure::Usage {
            what: other.to_string(),
            help: "choose another scenario".into(),
        },
    })
}
