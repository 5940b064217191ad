//! A Modbus client against the server, the plant stepped by the test: no clock takes part.
#![allow(clippy::unwrap_used, reason = "a test that cannot connect has failed")]

use halfglass_core::description::Loop;
use halfglass_core::design::{Sheets, design};
use halfglass_core::dynamics::scenario::Scenario;
use tokio_modbus::ExceptionCode;
use tokio_modbus::client::{Context, tcp};
use tokio_modbus::prelude::{Reader as _, Writer as _};

use crate::registers::{READINGS, as_table, from_words, to_words};
use crate::{VirtualPlant, serve};

fn the_loop() -> (Loop, Sheets, Scenario) {
    let text = include_bytes!("../../../examples/laundry-shell-boiler.toml");
    let described = halfglass_loopfile::read(text).unwrap();
    let sheets = design(&described).unwrap();
    let quiet = b"[scenario]\nname = \"quiet\"\npurpose = \"nothing happens by itself\"\nduration = \"1 h\"\n";
    let scenario = halfglass_loopfile::read_scenario(quiet).unwrap().runs[0]
        .1
        .clone();
    (described, sheets, scenario)
}

async fn client(plant: &VirtualPlant<'_>) -> Context {
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    tokio::spawn(serve(listener, plant.exchange(), std::future::pending()));
    tcp::connect(address).await.unwrap()
}

async fn number(client: &mut Context, address: u16) -> f64 {
    let words = client
        .read_input_registers(address, 2)
        .await
        .unwrap()
        .unwrap();
    from_words([words[0], words[1]])
}

/// The numbers that a client reads are those of the run, and the first that it reads is that this is a simulation.
#[tokio::test]
async fn property_a_client_reads_the_run_and_its_mark() {
    let (described, sheets, scenario) = the_loop();
    let mut plant = VirtualPlant::new(&described, &sheets, &scenario).unwrap();
    let mut client = client(&plant).await;
    let mark = client.read_input_registers(0, 5).await.unwrap().unwrap();
    let letters: Vec<u8> = mark.into_iter().flat_map(u16::to_be_bytes).collect();
    assert_eq!(letters, b"SIMULATION");
    assert!(client.read_discrete_inputs(0, 9).await.unwrap().unwrap()[0]);
    for _ in 0..40 {
        plant.step().unwrap();
    }
    let set_point = described.limits.set_point_m;
    assert!((number(&mut client, 16).await - set_point).abs() < 1e-3);
    assert!((number(&mut client, 12).await - set_point).abs() < 1e-2);
    let time_s = number(&mut client, 10).await;
    assert!((time_s - 10.0).abs() < 1e-6, "{time_s}");
    let pressure = number(&mut client, 22).await;
    assert!((pressure / described.pressures.normal.pa() - 1.0).abs() < 1e-3);
}

/// In hand with the valve shut the TRUE level falls; back in automatic it comes back up. Hand begins without a bump.
#[tokio::test]
async fn practice_hand_and_automatic_move_the_level() {
    let (described, sheets, scenario) = the_loop();
    let mut plant = VirtualPlant::new(&described, &sheets, &scenario).unwrap();
    let mut client = client(&plant).await;
    plant.step().unwrap();
    let output = number(&mut client, 30).await;
    client.write_single_coil(0, true).await.unwrap().unwrap();
    plant.step().unwrap();
    assert!((number(&mut client, 30).await - output).abs() < 0.1);
    assert!(client.read_discrete_inputs(7, 1).await.unwrap().unwrap()[0]);
    client
        .write_multiple_registers(0, &to_words(0.0))
        .await
        .unwrap()
        .unwrap();
    let before = number(&mut client, 16).await;
    for _ in 0..2_400 {
        plant.step().unwrap();
    }
    let low = number(&mut client, 16).await;
    assert!(low < before - 0.02, "{before} {low}");
    assert!(number(&mut client, 28).await < 1.0);
    client.write_single_coil(0, false).await.unwrap().unwrap();
    for _ in 0..9_600 {
        plant.step().unwrap();
    }
    assert!(number(&mut client, 16).await > low + 0.01);
    // A load, and a signal that is lost: the current says so.
    client
        .write_multiple_registers(4, &[to_words(50.0), to_words(5.0)].concat())
        .await
        .unwrap()
        .unwrap();
    client.write_single_coil(3, true).await.unwrap().unwrap();
    for _ in 0..240 {
        plant.step().unwrap();
    }
    assert!(number(&mut client, 14).await < 3.7);
    let drawn = number(&mut client, 24).await;
    assert!(drawn < 0.6 * described.duties[0].steam_kg_s, "{drawn}");
}

/// What cannot be is refused with Modbus' own codes, and changes nothing.
#[tokio::test]
async fn property_bad_requests_are_refused() {
    let (described, sheets, scenario) = the_loop();
    let plant = VirtualPlant::new(&described, &sheets, &scenario).unwrap();
    let mut client = client(&plant).await;
    let before = client.read_holding_registers(0, 10).await.unwrap().unwrap();
    let refused = |answer: Result<(), ExceptionCode>| answer.unwrap_err();
    use ExceptionCode::{IllegalDataAddress, IllegalDataValue, IllegalFunction};
    let half = client.write_single_register(0, 1).await.unwrap();
    assert_eq!(refused(half), IllegalDataAddress);
    let odd = client
        .write_multiple_registers(1, &to_words(1.0))
        .await
        .unwrap();
    assert_eq!(refused(odd), IllegalDataAddress);
    let beyond = client
        .write_multiple_registers(10, &to_words(1.0))
        .await
        .unwrap();
    assert_eq!(refused(beyond), IllegalDataAddress);
    for value in [101.0, -1.0, f64::NAN] {
        let wrong = client
            .write_multiple_registers(0, &to_words(value))
            .await
            .unwrap();
        assert_eq!(refused(wrong), IllegalDataValue, "{value}");
    }
    let coil = client.write_single_coil(5, true).await.unwrap();
    assert_eq!(refused(coil), IllegalDataAddress);
    assert_eq!(
        client
            .read_input_registers(33, 4)
            .await
            .unwrap()
            .unwrap_err(),
        IllegalDataAddress
    );
    assert_eq!(
        client
            .masked_write_register(0, 1, 1)
            .await
            .unwrap()
            .unwrap_err(),
        IllegalFunction
    );
    assert_eq!(
        client.read_holding_registers(0, 10).await.unwrap().unwrap(),
        before
    );
}

#[test]
fn property_addresses_do_not_overlap() {
    assert!(
        READINGS
            .windows(2)
            .all(|pair| pair[1].address == pair[0].address + 2)
    );
    assert!(READINGS[0].address >= 5);
}

/// The manual prints the map as it is.
#[test]
fn property_the_manual_has_the_map() {
    let manual = include_str!("../../../docs/src/virtual-plant.md");
    assert!(
        manual.contains(&as_table()),
        "docs/src/virtual-plant.md wants:\n{}",
        as_table()
    );
}
