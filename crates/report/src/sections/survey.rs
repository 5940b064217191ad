//! What was surveyed.

use halfglass_core::description::{Loop, ReferenceLeg, UnitSystem, VesselKind};

use super::{instrument_rows, survey_control};
use crate::block::{Block, Column, Section, Table, ValueRow};
use crate::units::{DisplayUnits, number};
use crate::wording;

pub(super) fn section(described: &Loop, units: &DisplayUnits) -> Section {
    let identity = &described.identity;
    let mut blocks = vec![
        Block::paragraph(format!(
            "What the loop file says about {}, {}. Check it against the plant before any other sheet is used: every number \
             that follows rests on it. Elevations count from the centre of the lower tap, positive up.",
            identity.tag, identity.service
        )),
        Block::Values(identity_rows(described)),
        Block::heading("Site and vessel"),
        Block::Values(vessel_rows(described, units)),
        internals_block(described, units),
        Block::heading("Taps and legs"),
        Block::Values(leg_rows(described, units)),
        Block::heading("Cell"),
        Block::Values(cell_rows(described, units)),
        Block::heading("Gauge glass"),
        Block::Values(glass_rows(described, units)),
        Block::heading("Pressures and duties"),
        Block::Values(pressure_rows(described, units)),
        Block::Table(duty_table(described, units)),
    ];
    if !described.placeholders.is_empty() {
        blocks.insert(
            1,
            Block::paragraph(format!(
                "DRAFT: {} in the loop file marked as invented, and must be surveyed: {}.",
                match described.placeholders.len() {
                    1 => "1 value is".to_owned(),
                    count => format!("{count} values are"),
                },
                described.placeholders.join(", ")
            )),
        );
    }
    blocks.extend(survey_control::blocks(described, units));
    Section {
        id: "survey",
        title: "Survey".into(),
        blocks,
    }
}

fn identity_rows(described: &Loop) -> Vec<ValueRow> {
    let identity = &described.identity;
    let mut rows = vec![
        ValueRow::new("loop", identity.tag.clone()),
        ValueRow::new("service", identity.service.clone()),
        ValueRow::new("plant", identity.plant.clone()),
        ValueRow::new("revision of the loop file", identity.revision.clone()),
        ValueRow::new("units", wording::unit_system(identity.units)),
        ValueRow::noted(
            "water column",
            identity.water_column.reference(),
            "which water an inch or millimetre of water column is made of",
        ),
    ];
    rows.extend(
        identity
            .notes
            .iter()
            .map(|note| ValueRow::new("note", note.clone())),
    );
    rows
}

fn vessel_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let (site, vessel) = (&described.site, &described.vessel);
    let shell = &vessel.shell;
    let mut rows = vec![
        ValueRow::new("altitude above the sea", units.length_text(site.altitude_m)),
        ValueRow::new(
            "local atmosphere",
            units.pressure_absolute_text(site.atmosphere),
        ),
        ValueRow::new(
            "local gravity",
            format!("{} m/s2", number(site.gravity_m_s2, 5)),
        ),
        ValueRow::new(
            "ambient temperature",
            format!(
                "{} to {}",
                units.temperature_text(site.ambient_lowest_k),
                units.temperature_text(site.ambient_highest_k)
            ),
        ),
        ValueRow::new("vessel", wording::vessel_kind(vessel.kind)),
        ValueRow::new(
            "shell",
            format!(
                "{}, inside diameter {}, straight length {}",
                wording::orientation(shell.orientation()),
                units.level_text(shell.inside_diameter_m()),
                units.level_text(shell.straight_length_m())
            ),
        ),
        ValueRow::new("heads", wording::head(shell.head())),
        ValueRow::new(
            "lower tap above inside bottom",
            units.level_text(vessel.lower_tap_above_bottom_m),
        ),
    ];
    if vessel.kind.holds_steam() {
        rows.push(ValueRow::new(
            "vacuum breaker",
            wording::yes_no(vessel.vacuum_breaker),
        ));
    }
    if let Some(m3) = vessel.circuit_volume_m3 {
        rows.push(ValueRow::noted(
            "water in the circuit",
            format!("{} m3", number(m3, 2)),
            "outside the vessel; heats and swells with it",
        ));
    }
    if let Some(k) = vessel.water_temperature_k {
        rows.push(ValueRow::new(
            "temperature of the stored water",
            units.temperature_text(k),
        ));
    }
    rows
}

fn internals_block(described: &Loop, units: &DisplayUnits) -> Block {
    let internals = described.vessel.internals.table();
    if internals.is_empty() {
        return Block::paragraph("No internals: nothing displaces water.");
    }
    let columns = vec![
        Column::numbers(format!("above inside bottom, {}", units.level_unit())),
        Column::numbers("displaced, %"),
    ];
    let rows = internals
        .iter()
        .map(|point| {
            vec![
                units.level_number(point.height_m),
                number(100.0 * point.displaced_fraction, 1),
            ]
        })
        .collect();
    Block::Table(
        Table::new(
            format!(
                "What {} displace of the cross-section, straight lines between",
                match described.vessel.kind {
                    VesselKind::ShellBoiler => "furnace and tubes",
                    VesselKind::DrumBoiler => "cyclones, baffles and other drum internals",
                    VesselKind::Deaerator | VesselKind::VentedTank => "internals",
                }
            ),
            columns,
        )
        .with_rows(rows),
    )
}

fn leg_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let elevations = &described.elevations;
    let optional =
        |label: &str, m: Option<f64>| m.map(|m| ValueRow::new(label, units.level_text(m)));
    let mut rows = vec![ValueRow::new(
        "lower tap",
        format!("{} (datum)", units.level_text(0.0)),
    )];
    rows.extend(optional("upper tap", elevations.upper_tap_m));
    rows.extend(optional(
        "highest heated surface",
        elevations.highest_heated_surface_m,
    ));
    rows.extend(optional("overflow", elevations.overflow_m));
    rows.extend(reference_leg_rows(&described.reference_leg, units));
    rows.push(ValueRow::new(
        "working leg below the lower tap",
        units.temperature_text(described.working_leg_temperature_k),
    ));
    let (lowest_k, highest_k) = described.leg_temperature_band_k;
    rows.push(ValueRow::noted(
        "legs may run from",
        format!(
            "{} to {}",
            units.temperature_text(lowest_k),
            units.temperature_text(highest_k)
        ),
        "band over which the range must hold",
    ));
    rows
}

fn reference_leg_rows(leg: &ReferenceLeg, units: &DisplayUnits) -> Vec<ValueRow> {
    let temperature = |k: f64| units.temperature_text(k);
    match leg {
        ReferenceLeg::Wet {
            pot_lip_m,
            temperature: profile,
            below_tap_k,
        } => {
            let mut rows = vec![
                ValueRow::new("reference leg", "wet, with condensate pot"),
                ValueRow::new("overflow lip of the pot", units.level_text(*pot_lip_m)),
                ValueRow::new(
                    "leg temperature, pot to cell",
                    format!(
                        "{} to {}",
                        temperature(profile.top_k),
                        temperature(profile.bottom_k)
                    ),
                ),
            ];
            rows.extend(
                below_tap_k
                    .map(|k| ValueRow::new("reference leg below the lower tap", temperature(k))),
            );
            rows
        }
        ReferenceLeg::Dry { temperature_k } => vec![
            ValueRow::new("reference leg", "dry, from the upper tap"),
            ValueRow::new("gas in the leg", temperature(*temperature_k)),
        ],
        ReferenceLeg::None => vec![ValueRow::new(
            "reference leg",
            "none: the reference port is open to the air",
        )],
        ReferenceLeg::Sealed {
            lower_seal_m,
            upper_seal_m,
            fluid,
            reference_capillary_k,
            working_capillary_k,
        } => vec![
            ValueRow::new("reference leg", "sealed, with capillaries"),
            ValueRow::new("centre of the lower seal", units.level_text(*lower_seal_m)),
            ValueRow::new("centre of the upper seal", units.level_text(*upper_seal_m)),
            ValueRow::noted(
                "fill fluid",
                fluid.name(),
                if fluid.is_confirmed() {
                    ""
                } else {
                    "generic densities: confirm with the maker of the seals"
                },
            ),
            ValueRow::new("reference capillary", temperature(*reference_capillary_k)),
            ValueRow::new("working capillary", temperature(*working_capillary_k)),
        ],
    }
}

fn cell_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let cell = &described.cell;
    let mut rows = vec![
        ValueRow::new(
            "cell below the lower tap",
            units.level_text(cell.below_lower_tap_m),
        ),
        ValueRow::new("polarity", wording::polarity(cell.polarity)),
        ValueRow::new("signal reversal", wording::reversal(cell.reversal)),
    ];
    rows.extend(instrument_rows::cell(described, units));
    rows
}

fn glass_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let Some(glass) = &described.glass else {
        return vec![ValueRow::new("gauge glass", "none in the loop file")];
    };
    vec![
        ValueRow::new(
            "lower connection at the vessel",
            units.level_text(glass.lower_connection_m),
        ),
        ValueRow::new(
            "visible from",
            format!(
                "{} to {}",
                units.level_text(glass.visible_bottom_m),
                units.level_text(glass.visible_top_m)
            ),
        ),
        match glass.water_temperature_k {
            Some(k) => ValueRow::new("water in the glass", units.temperature_text(k)),
            None => ValueRow::new(
                "water in the glass",
                match units.system {
                    UnitSystem::Us => "90 degF below saturation, not under the lowest ambient",
                    UnitSystem::Si => "50 K below saturation, not under the lowest ambient",
                },
            ),
        },
    ]
}

fn pressure_rows(described: &Loop, units: &DisplayUnits) -> Vec<ValueRow> {
    let pressures = &described.pressures;
    if !described.vessel.kind.holds_steam() {
        return vec![ValueRow::noted(
            "pressure over the water",
            "open to the air",
            format!(
                "at start-up the water is at {}",
                units.temperature_text(pressures.start_up_water_k)
            ),
        )];
    }
    vec![
        ValueRow::noted(
            "start-up",
            units.pressure_gauge_text(pressures.start_up),
            format!(
                "water at {}",
                units.temperature_text(pressures.start_up_water_k)
            ),
        ),
        ValueRow::new(
            "lowest sustained",
            units.pressure_gauge_text(pressures.lowest_sustained),
        ),
        ValueRow::new("normal", units.pressure_gauge_text(pressures.normal)),
        ValueRow::new("highest", units.pressure_gauge_text(pressures.highest)),
        ValueRow::new(
            "safety valve set",
            units.pressure_gauge_text(pressures.safety_valve),
        ),
    ]
}

fn duty_table(described: &Loop, units: &DisplayUnits) -> Table {
    let flow_unit = units.flow(0.0).1;
    let kind = described.vessel.kind;
    let has_blowdown =
        kind.is_fired() || described.duties.iter().any(|duty| duty.blowdown_kg_s > 0.0);
    let leaving = if kind.is_fired() { "steam" } else { "outflow" };
    let mut columns = vec![
        Column::words("duty"),
        Column::numbers(format!("{leaving}, {flow_unit}")),
    ];
    if has_blowdown {
        columns.push(Column::numbers(format!("blowdown, {flow_unit}")));
    }
    columns.push(Column::numbers(format!(
        "feed water, {}",
        units.temperature_unit()
    )));
    if kind.holds_steam() {
        columns.push(Column::numbers(format!(
            "pressure, {}",
            units.pressure_gauge_unit()
        )));
    }
    let rows = described
        .duties
        .iter()
        .map(|duty| {
            let mut row = vec![duty.name.clone(), number(units.flow(duty.steam_kg_s).0, 0)];
            if has_blowdown {
                row.push(number(units.flow(duty.blowdown_kg_s).0, 0));
            }
            row.push(units.temperature_number(duty.feed_temperature_k));
            if kind.holds_steam() {
                row.push(units.pressure_gauge_number(duty.pressure));
            }
            row
        })
        .collect();
    Table::new("Duty points", columns).with_rows(rows)
}
