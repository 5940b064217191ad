//! The loop file's JSON Schema (draft 2020-12), written from [`crate::keys`], so that editors complete and check.
//!
//! It checks names, words, units and what must be there; what needs arithmetic (one height above another, a range in
//! the cell's limits) only the reader checks.

mod pattern;

use serde_json::{Map, Value, json};

use crate::free_text::most_characters;
use crate::keys::{GROUPS, Key, Kind, Need, SECTIONS, Section};

/// One line of free text that is not empty.
const TEXT: &str = r"^[^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f][^\x00-\x1f\x7f-\x9f]*$";
/// One line of free text.
const LINE: &str = r"^[^\x00-\x1f\x7f-\x9f]*$";

/// The schema of a loop file.
pub fn json_schema() -> Value {
    let tops = SECTIONS
        .iter()
        .filter(|section| !section.name.contains('.'));
    let properties: Map<_, _> = tops
        .clone()
        .map(|section| (section.name.to_owned(), section_schema(section)))
        .collect();
    let required: Vec<_> = tops
        .filter(|section| section.required)
        .map(|section| section.name)
        .collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:halfglass:loop-file",
        "title": "Loop file",
        "description": "One level loop on a steam vessel. Heights count from the centre of the LOWER tap, positive up. Quantities are text with a unit.",
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
        "allOf": conditions(),
        "dependentRequired": companions(),
    })
}

fn section_schema(section: &Section) -> Value {
    let mut properties: Map<_, _> = section
        .keys
        .iter()
        .map(|key| (key.name().to_owned(), key_schema(key)))
        .collect();
    let parts = SECTIONS
        .iter()
        .filter(|other| parent(other.name) == section.name);
    for part in parts {
        properties.insert(last_name(part.name).to_owned(), section_schema(part));
    }
    let together = GROUPS.iter().flat_map(|group| group.together);
    let needed_parts = together
        .filter(|part| parent(part) == section.name)
        .map(|part| last_name(part));
    let required: Vec<_> = section
        .keys
        .iter()
        .filter(|key| key.need == Need::Required)
        .map(Key::name)
        .chain(needed_parts)
        .collect();
    let mut table = json!({
        "title": title(last_name(section.name)),
        "description": section.doc,
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    });
    if !section.repeated {
        return table;
    }
    let description = table["description"].take();
    if let Some(fields) = table.as_object_mut() {
        fields.remove("description");
    }
    let mut list = json!({
        "title": title(last_name(section.name)),
        "description": description,
        "type": "array",
        "items": table,
    });
    if section.required {
        list["minItems"] = json!(1);
    }
    list
}

fn key_schema(key: &Key) -> Value {
    let mut schema = match key.kind {
        Kind::Quantity(dimension, sign) => json!({
            "type": "string",
            "pattern": pattern::quantity(dimension, sign),
        }),
        Kind::QuantityOrNone(dimension, sign) => json!({
            "anyOf": [
                { "type": "string", "pattern": pattern::quantity(dimension, sign) },
                { "const": "none" },
            ],
        }),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Text => json!({
            "type": "string",
            "pattern": TEXT,
            "maxLength": most_characters(key.path),
        }),
        Kind::Texts => json!({
            "type": "array",
            "items": {
                "type": "string",
                "pattern": LINE,
                "maxLength": most_characters(key.path),
            },
        }),
        Kind::TextPair => json!({
            "type": "array",
            "items": {
                "type": "string",
                "pattern": LINE,
                "maxLength": most_characters(key.path),
            },
            "minItems": 2,
            "maxItems": 2,
        }),
        Kind::Quantities(dimension, sign) => json!({
            "type": "array",
            "items": { "type": "string", "pattern": pattern::quantity(dimension, sign) },
        }),
        Kind::Integer(low, high) => json!({ "type": "integer", "minimum": low, "maximum": high }),
        Kind::Ratio => json!({ "type": "number", "minimum": 0, "maximum": 1e6 }),
        Kind::Bool => json!({ "type": "boolean" }),
    };
    schema["title"] = json!(title(key.name()));
    schema["description"] = json!(description(key));
    schema["examples"] = examples(key);
    schema
}

fn description(key: &Key) -> String {
    let units = match key.kind {
        Kind::Quantity(dimension, _)
        | Kind::QuantityOrNone(dimension, _)
        | Kind::Quantities(dimension, _) => {
            let names: Vec<_> = dimension.units().iter().map(|unit| unit.name).collect();
            format!(" Units: {}.", names.join(", "))
        }
        _ => String::new(),
    };
    let need = match key.need {
        Need::Required => " Always needed.".to_owned(),
        Need::When(condition) => format!(" Needed when {condition}."),
        Need::Default(default) => format!(" Left out: {default}, listed as an assumption."),
        Need::Optional => " May be left out.".to_owned(),
    };
    format!("{}.{need}{units}", key.doc)
}

fn examples(key: &Key) -> Value {
    let value = |text: &str| match key.kind {
        Kind::Integer(..) | Kind::Ratio | Kind::Bool => {
            // The table's tests read every example as its kind.
            serde_json::from_str(text).unwrap_or_else(|_| json!(text))
        }
        Kind::Texts | Kind::TextPair | Kind::Quantities(..) => json!(key.kind.items(text)),
        _ => json!(text),
    };
    if key.us == key.si {
        json!([value(key.us)])
    } else {
        json!([value(key.us), value(key.si)])
    }
}

/// Sections at the top that stand together or not at all.
fn companions() -> Value {
    let mut needed = Map::new();
    for group in GROUPS {
        let tops = |names: &'static [&'static str]| {
            names.iter().copied().filter(|name| !name.contains('.'))
        };
        for name in tops(group.together).chain(tops(group.beside)) {
            let others: Vec<_> = tops(group.together)
                .filter(|other| *other != name)
                .collect();
            if !others.is_empty() {
                needed.insert(name.to_owned(), json!(others));
            }
        }
    }
    Value::Object(needed)
}

/// What must be there because of something else in the file.
fn conditions() -> Vec<Value> {
    let mut rules: Vec<(&str, Vec<&Key>)> = Vec::new();
    for key in SECTIONS.iter().flat_map(|section| section.keys) {
        let Need::When(words) = key.need else {
            continue;
        };
        match rules.iter_mut().find(|(known, _)| *known == words) {
            Some((_, keys)) => keys.push(key),
            None => rules.push((words, vec![key])),
        }
    }
    rules
        .into_iter()
        .filter_map(|(words, keys)| {
            Some(json!({ "if": condition(words)?, "then": all_there(&keys) }))
        })
        .collect()
}

/// The condition that [`Need::When`] says in words.
fn condition(words: &str) -> Option<Value> {
    let one_of = |section: &str, key: &str, values: &[&str]| {
        json!({
            "properties": { section: { "properties": { key: { "enum": values } }, "required": [key] } },
            "required": [section],
        })
    };
    Some(match words {
        "the vessel is a vented tank" => one_of("vessel", "kind", &["vented-tank"]),
        "the vessel is fired" => one_of("vessel", "kind", &["shell-boiler", "drum-boiler"]),
        "the vessel holds steam" => one_of(
            "vessel",
            "kind",
            &["shell-boiler", "drum-boiler", "deaerator"],
        ),
        "the leg is wet" => one_of("reference-leg", "kind", &["wet"]),
        "the leg is sealed" => one_of("reference-leg", "kind", &["sealed"]),
        "the wet leg is on the high port" => one_of("cell", "polarity", &["wet-leg-on-high"]),
        "the supply is a pump" => one_of("supply", "kind", &["pump"]),
        "the supply is a header" => one_of("supply", "kind", &["header"]),
        "the recirculation is continuous" => one_of("supply", "recirculation", &["continuous"]),
        "the actuator is linear" => one_of("actuator", "kind", &["linear"]),
        "the actuator is rotary" => one_of("actuator", "kind", &["rotary"]),
        "on/off control is replaced" => json!({
            "properties": { "station": { "properties": { "replaces-on-off": { "const": true } }, "required": ["replaces-on-off"] } },
            "required": ["station"],
        }),
        "a gain was found" => json!({
            "properties": { "as-found": { "required": ["gain"] } },
            "required": ["as-found"],
        }),
        _ => return None,
    })
}

fn all_there(keys: &[&Key]) -> Value {
    let mut sections: Map<String, Value> = Map::new();
    for key in keys {
        let section = sections
            .entry(parent(key.path).to_owned())
            .or_insert_with(|| json!({ "required": [] }));
        if let Some(names) = section["required"].as_array_mut() {
            names.push(json!(key.name()));
        }
    }
    let names: Vec<_> = sections.keys().cloned().collect();
    json!({ "properties": sections, "required": names })
}

fn parent(path: &str) -> &str {
    path.rsplit_once('.').map_or("", |(parent, _)| parent)
}

fn last_name(path: &str) -> &str {
    path.rsplit('.').next().unwrap_or(path)
}

fn title(name: &str) -> String {
    let words = name.replace('-', " ");
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => words,
    }
}

#[cfg(test)]
mod tests;
