//! Data sheets of control valve and actuator.

use halfglass_core::description::feed_system::Actuator;
use halfglass_core::description::{Loop, ValveService};
use halfglass_core::design::Sheets;
use halfglass_core::feedwater::sheets::{Cavitation, FeedwaterSheet};
use halfglass_core::measurement::condition::SAFETY_VALVE;
use halfglass_core::quantity::AbsolutePressure;

use super::{blanks, field};
use crate::bill::ValveToHave;
use crate::block::{Column, Table, ValueRow};
use crate::loop_tags::with_letters;
use crate::units::{DisplayUnits, keyed_number, number, percent_text, seconds_text, significant};
use crate::wording::{self, as_printed};

pub(super) fn valve(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<ValueRow> {
    let system = described.feed_system.as_ref();
    let valve = system.map(|system| &system.valve);
    let sheet = sheets.feedwater.as_ref();
    let to_have = sheet.map(ValveToHave::of);
    let largest = |value: fn(&halfglass_core::feedwater::sheets::DutyFlow) -> f64| {
        sheet.and_then(|sheet| sheet.duties.iter().map(value).max_by(f64::total_cmp))
    };
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LV")),
        ValueRow::new("service", described.identity.service.clone()),
        ValueRow::new("fluid", "water"),
        field(
            "pipe, inside",
            system.map(|system| {
                format!(
                    "{} before, {} after",
                    units.small_length_text(system.line.pipe_before_valve_m),
                    units.small_length_text(system.line.pipe_after_valve_m)
                )
            }),
        ),
        field(
            "body",
            valve.map(|valve| wording::valve_style(valve.style).to_owned()),
        ),
        size(to_have),
        field(
            "rated flow coefficient",
            to_have.map(|valve| units.coefficient_text(valve.kv_m3_h)),
        ),
        field(
            "characteristic",
            valve.map(|valve| wording::characteristic(&valve.characteristic)),
        ),
        field(
            "seat leakage",
            valve.map(|valve| {
                format!(
                    "class {} (IEC 60534-4)",
                    wording::leakage_class(valve.leakage)
                )
            }),
        ),
        field(
            "largest drop, throttling",
            largest(|duty| {
                if duty.flow_kg_s > 0.0 {
                    duty.pressure_drop_pa
                } else {
                    0.0
                }
            })
            .map(|pa| units.drop_text(pa)),
        ),
        field(
            "drop at shut-off",
            sheet.map(|sheet| units.drop_text(sheet.actuator.shut_off_drop_pa)),
        ),
        field(
            if described.feedwater.service == ValveService::Inflow {
                "highest temperature of the feed"
            } else {
                "highest temperature of the water"
            },
            largest(|duty| duty.water_temperature_k).map(|k| units.temperature_text(k)),
        ),
        field(
            "highest pressure before it",
            largest(|duty| duty.inlet_pressure_pa)
                .map(|pa| units.pressure_gauge_text(AbsolutePressure::from_pa(pa))),
        ),
        design(described, sheets, units),
        field(
            "seat diameter",
            to_have
                .and_then(|valve| valve.size(described)?.seat_diameter_m)
                .map(|m| units.small_length_text(m)),
        ),
    ];
    rows.extend(sheet.and_then(trim));
    if let Some((name, kv_m3_h)) = to_have.and_then(|valve| valve.replaces) {
        rows.insert(
            1,
            ValueRow::noted(
                "replaces",
                format!("{name}, {}", units.coefficient_text(kv_m3_h)),
                "fitted; it does not fit, do not order it again",
            ),
        );
    }
    if let Some(sheet) = sheet {
        for factor in &sheet.factors {
            rows.push(ValueRow::noted(
                factor.symbol,
                number(factor.value, 2),
                factor.source,
            ));
        }
    }
    rows.extend(blanks([
        "rating and code",
        "end connections",
        "body, bonnet",
        "plug, seat, stem",
        "packing",
        "stroke",
        "strainer before it",
        "maker, type, serial number",
    ]));
    rows
}

/// Design conditions are the buyer's; what the vessel can put on the valve from behind is said beside the blank.
fn design(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> ValueRow {
    let row = field("design pressure and temperature", None);
    let hottest = sheets
        .error_map
        .conditions
        .iter()
        .find(|condition| condition.name == SAFETY_VALVE);
    let note = match (described.feedwater.service, hottest) {
        (ValveService::Inflow, Some(condition)) => format!(
            "behind a leaking check valve it sees the vessel's water, {} at {}",
            units.temperature_text(condition.water_k),
            units.pressure_gauge_text(condition.pressure)
        ),
        (ValveService::Inflow, None) => {
            "behind a leaking check valve it sees the vessel's water".to_owned()
        }
        (ValveService::Outflow, _) => "it sees the vessel's water".to_owned(),
    };
    ValueRow { note, ..row }
}

/// What trim must stand where the flow chokes on collapsing bubbles.
fn trim(sheet: &FeedwaterSheet) -> Option<ValueRow> {
    let severe: Vec<&str> = sheet
        .duties
        .iter()
        .filter(|duty| duty.cavitation == Cavitation::Severe)
        .map(|duty| duty.name.as_str())
        .collect();
    (!severe.is_empty()).then(|| {
        ValueRow::new(
            "trim",
            format!(
                "choked at {}: hardened or staged trim, ask the maker",
                severe.join(", ")
            ),
        )
    })
}

/// The size with the sheet's verdict where there is more to say than that it meets every want.
fn size(to_have: Option<ValveToHave<'_>>) -> ValueRow {
    let Some(valve) = to_have else {
        return field("size", None);
    };
    let verdict = valve
        .candidate
        .filter(|size| !size.fits || valve.replaces.is_some())
        .map_or_else(String::new, |size| as_printed(&size.words));
    ValueRow::noted("size", valve.name, verdict)
}

/// Said where the process data were reckoned for another size than the one to buy.
pub(super) fn process_note(sheet: &FeedwaterSheet) -> Option<String> {
    ValveToHave::of(sheet).replaces.map(|(name, _)| {
        format!(
            "Noise, needed flow coefficients and the actuator's effort are reckoned for the fitted {name}; name the new size in the loop file and run the \
             sheets again before ordering."
        )
    })
}

/// Process data a duty a line, as a maker sizes from.
pub(super) fn process(sheet: &FeedwaterSheet, units: &DisplayUnits) -> Table {
    let [coefficient, _] = units.coefficient_heads();
    let gauge = units.pressure_gauge_unit();
    let column = Column::numbers;
    Table::new(
        "Process data of the control valve",
        vec![
            Column::words("duty"),
            column(format!("flow, {}", units.volume_flow(0.0).1).as_str()),
            column(format!("before, {gauge}").as_str()),
            column(format!("after, {gauge}").as_str()),
            column(
                format!(
                    "vapour, {}",
                    units.pressure_absolute(AbsolutePressure::from_pa(0.0)).1
                )
                .as_str(),
            ),
            column(format!("density, {}", units.density(0.0).1).as_str()),
            column(format!("needs {coefficient}").as_str()),
            column("dB(A)"),
        ],
    )
    .with_rows(
        sheet
            .duties
            .iter()
            .map(|duty| {
                let gauge = |pa| units.pressure_gauge_number(AbsolutePressure::from_pa(pa));
                vec![
                    duty.name.clone(),
                    units.volume_flow_number(duty.flow_m3_s),
                    gauge(duty.inlet_pressure_pa),
                    gauge(duty.outlet_pressure_pa),
                    significant(
                        units
                            .pressure_absolute(AbsolutePressure::from_pa(duty.vapour_pressure_pa))
                            .0,
                        4,
                    ),
                    significant(units.density(duty.density_kg_m3).0, 4),
                    units.coefficient_numbers(duty.kv_required_m3_h)[0].clone(),
                    duty.noise_dba
                        .map_or_else(|| "\u{2013}".to_owned(), |level| number(level, 0)),
                ]
            })
            .collect(),
    )
}

pub(super) fn actuator(described: &Loop, sheets: &Sheets, units: &DisplayUnits) -> Vec<ValueRow> {
    let valve = &described.feedwater;
    let system = described.feed_system.as_ref();
    let sheet = sheets.feedwater.as_ref().map(|sheet| &sheet.actuator);
    let supply = described
        .wiring
        .as_ref()
        .and_then(|wires| wires.actuator_supply.as_ref());
    let effort = |value: f64, is_torque: bool| units.effort_text(value, is_torque);
    let load = |value: f64, alternating: bool| {
        format!(
            "{} {}",
            keyed_number(value, 3),
            if alternating { "VA" } else { "W" }
        )
    };
    let mut rows = vec![
        ValueRow::new("tag", with_letters(&described.identity.tag, "LY")),
        field(
            "moves",
            system.map(|system| {
                match system.actuator {
                    Actuator::Linear { .. } => "a stem",
                    Actuator::Rotary { .. } => "a shaft",
                }
                .to_owned()
            }),
        ),
        field(
            "needed to shut",
            sheet.map(|sheet| effort(sheet.required, sheet.is_torque)),
        ),
        sheet.map_or_else(
            || field("rated", None),
            |sheet| {
                if sheet.enough {
                    ValueRow::new("rated", effort(sheet.rated, sheet.is_torque))
                } else {
                    ValueRow::noted(
                        "rated",
                        "more than the one surveyed",
                        format!(
                            "that one is rated {}, {} times what is needed: less than the usual margin, do not order it",
                            effort(sheet.rated, sheet.is_torque),
                            number(sheet.margin_ratio, 2)
                        ),
                    )
                }
            },
        ),
        ValueRow::new("full stroke", seconds_text(valve.stroke_time_s)),
        ValueRow::new(
            "deadband, resolution",
            format!(
                "{}, {} of travel",
                percent_text(valve.deadband_percent),
                percent_text(valve.resolution_percent)
            ),
        ),
        ValueRow::new("signal", "4 to 20 mA"),
        ValueRow::new(
            "rising signal",
            if valve.rising_output_opens {
                "opens the valve"
            } else {
                "closes the valve"
            },
        ),
        ValueRow::new(
            "on loss of signal",
            wording::fail_position(valve.on_signal_loss),
        ),
        ValueRow::new(
            "on loss of power",
            wording::fail_position(valve.on_power_loss),
        ),
        field(
            "power",
            supply.map(|supply| {
                format!(
                    "{} V {}, works down to {} V",
                    keyed_number(supply.voltage_v, 4),
                    if supply.alternating { "a.c." } else { "d.c." },
                    keyed_number(supply.lowest_v, 4)
                )
            }),
        ),
        field(
            "load running, starting",
            supply.map(|supply| {
                format!(
                    "{}, {}",
                    load(supply.running_va, supply.alternating),
                    load(supply.inrush_va, supply.alternating)
                )
            }),
        ),
        field(
            "signal isolated from power",
            supply.map(|supply| wording::yes_no(supply.signal_isolated).to_owned()),
        ),
    ];
    rows.extend(blanks([
        "position feedback",
        "limit switches",
        "hand wheel",
        "enclosure, ambient rating",
        "mounting to the valve",
        "maker, type, serial number",
    ]));
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    fn row(rows: &[ValueRow], label: &str) -> ValueRow {
        let found = rows.iter().find(|row| row.label == label);
        found.cloned().unwrap_or_else(|| panic!("{label}"))
    }

    /// The inherited valve is oversized, its actuator weak: neither is what the sheets order.
    #[test]
    fn practice_the_data_sheets_order_what_fits() {
        let (described, sheets) = fixture::example_named("inherited-cold-range");
        let units = DisplayUnits::of(&described);
        let sheet = sheets.feedwater.as_ref().expect("water side described");
        let rows = valve(&described, &sheets, &units);
        assert_ne!(row(&rows, "size").value, sheet.chosen_name);
        assert!(row(&rows, "replaces").value.starts_with(&sheet.chosen_name));
        assert_ne!(
            row(&rows, "rated flow coefficient").value,
            units.coefficient_text(sheet.chosen_kv_m3_h)
        );
        // The generic size has no seat diameter: the buyer's to fill in.
        assert_eq!(row(&rows, "seat diameter").value, "to be filled in");
        assert!(row(&rows, "trim").value.contains("choked at start-up"));
        let rated = row(&actuator(&described, &sheets, &units), "rated");
        assert!(rated.note.contains("do not order"), "{rated:?}");
    }

    /// Saturated water at 180 degF: 7.515 psi(a) and 60.58 lb/ft3 (steam tables, memory), in the units of the other columns.
    #[test]
    fn practice_process_data_in_one_system_of_units() {
        use halfglass_core::description::UnitSystem;
        let (described, sheets) = fixture::example_named("inherited-cold-range");
        let sheet = sheets.feedwater.as_ref().expect("water side described");
        for (system, heads, vapour, density) in [
            (UnitSystem::Us, ["psi(a)", "lb/ft3"], 7.515, 60.58),
            (UnitSystem::Si, ["bar(a)", "kg/m3"], 0.5182, 970.4),
        ] {
            let units = DisplayUnits::of(&described).with_system(system);
            let table = process(sheet, &units);
            let at = |wanted: &str| {
                let place = table
                    .columns
                    .iter()
                    .position(|column| column.head.contains(wanted));
                place.unwrap_or_else(|| panic!("{wanted}"))
            };
            let low_fire = table.rows.iter().find(|row| row[0] == "low fire");
            let low_fire = low_fire.expect("a duty of the example");
            for (head, expect) in heads.into_iter().zip([vapour, density]) {
                let value: f64 = low_fire[at(head)].parse().expect("a number");
                assert!((value / expect - 1.0).abs() < 2e-3, "{head}: {value}");
            }
        }
    }

    /// A leaking check valve lets the vessel's water come back: it is named at the safety valve's pressure, the rating left open.
    #[test]
    fn practice_the_valve_is_rated_by_its_buyer_for_the_vessels_water() {
        let (described, sheets) = fixture::example_named("inherited-cold-range");
        let units = DisplayUnits::of(&described);
        let design = row(
            &valve(&described, &sheets, &units),
            "design pressure and temperature",
        );
        assert_eq!(design.value, "to be filled in");
        let hottest = sheets
            .error_map
            .conditions
            .iter()
            .find(|condition| condition.name == SAFETY_VALVE)
            .expect("a boiler has one");
        // ASME steam tables (memory): saturated at 150 psi(g) and sea level is 366 degF.
        let degf = units.temperature(hottest.water_k).0;
        assert!((degf - 366.0).abs() < 1.0, "{degf}");
        assert!(
            design.note.contains("366 degF at 150.0 psi(g)"),
            "{design:?}"
        );
    }
}
