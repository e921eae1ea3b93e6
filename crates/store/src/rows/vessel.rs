//! A row of actions that measures residue, feints or a sample: amount, and the glass in its note.

use sense::{Action, Amount, Vessel, VesselRecord};

use super::{RowFault, required};

/// Units of the amount, and the largest of it.
pub(super) const UNITS: [&str; 2] = ["l", "kg"];
pub(super) const AMOUNT_MAX: f64 = 10_000.0;
/// Temperatures of a liquid that is measured, °C.
const CELSIUS: (f64, f64) = (-20.0, 110.0);
const HINT: &str = "write 6.5 vol_at_21.5, or at_21.5 where the glass was not read, or nothing";

/// Value, unit and note of a measured liquid.
pub(super) fn cells(record: &VesselRecord) -> (f64, &'static str, String) {
    let (value, unit) = match record.amount {
        Amount::Litres(litres) => (litres, "l"),
        Amount::Kilograms(kg) => (kg, "kg"),
    };
    let note = match (record.apparent_vol, record.celsius) {
        (Some(vol), Some(c)) => format!("{vol} vol_at_{c}"),
        (Some(vol), None) => format!("{vol} vol"),
        (None, Some(c)) => format!("at_{c}"),
        (None, None) => String::new(),
    };
    (value, unit, note)
}

/// The action of a row whose number and unit were checked.
pub(super) fn action(
    vessel: Vessel,
    value: f64,
    unit: &str,
    note: &str,
) -> Result<Action, RowFault> {
    let amount = if unit == "kg" { Amount::Kilograms(value) } else { Amount::Litres(value) };
    let (apparent_vol, celsius) = glass(note)?;
    if let Some(vol) = apparent_vol {
        required("note", vol, 0.0, 100.0, "% vol", HINT)?;
    }
    if let Some(celsius) = celsius {
        required("note", celsius, CELSIUS.0, CELSIUS.1, "°C", HINT)?;
    }
    Ok(Action::Vessel(VesselRecord { vessel, amount, apparent_vol, celsius }))
}

/// What the note says of the glass: its reading, and the temperature.
fn glass(note: &str) -> Result<(Option<f64>, Option<f64>), RowFault> {
    let fault = || RowFault::new("note", note, "must be how strong and how warm it was", HINT);
    let number = |text: &str| text.parse::<f64>().ok().filter(|value| value.is_finite());
    let read = |text: &str| number(text).map(Some).ok_or_else(fault);
    if note.is_empty() {
        return Ok((None, None));
    }
    if let Some(celsius) = note.strip_prefix("at_") {
        return Ok((None, read(celsius)?));
    }
    let (vol, unit) = note.split_once(' ').ok_or_else(fault)?;
    match unit.strip_prefix("vol_at_") {
        Some(celsius) => Ok((read(vol)?, read(celsius)?)),
        None if unit == "vol" => Ok((read(vol)?, None)),
        None => Err(fault()),
    }
}

#[cfg(test)]
mod tests {
    use crate::rows::ActionRow;

    fn said(note: &str, unit: &str) -> Result<ActionRow, String> {
        let (action, unit) = ("residue".to_owned(), unit.to_owned());
        let row = ActionRow { action, value: Some(31.5), unit, note: note.to_owned() };
        row.action().map(|(action, _)| ActionRow::from(&action)).map_err(|fault| fault.to_string())
    }

    #[test]
    fn a_residue_is_written_as_it_was_read() {
        for note in ["1.5 vol_at_24.5", "at_80", "1.5 vol", ""] {
            for unit in ["l", "kg"] {
                let row = said(note, unit).expect("sound");
                assert_eq!((row.note.as_str(), row.unit.as_str()), (note, unit));
            }
        }
    }

    #[test]
    fn what_tells_no_glass_is_refused() {
        for note in ["weak", "1.5", "1.5 vol_at_", "101 vol_at_20", "2 vol_at_200", "at_warm"] {
            assert!(said(note, "l").is_err(), "{note}");
        }
        assert!(said("", "g").is_err());
    }
}
