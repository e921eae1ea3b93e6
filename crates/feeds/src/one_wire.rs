//! The text in which Linux shows a 1-wire thermometer (`w1_slave`).

use crate::unread::{Told, Unread, text};

/// Reads the text, °C: line 1 ends `YES` where the checksum is right, line 2 holds `t=` with
/// thousandths of a degree (documentation of the kernel's `w1_therm`, from memory).
///
/// What a broken probe sends, 85 °C after power-on and -127 °C where it is lost, is a number here:
/// whether such a number can be true at its channel is told by [`sense::impossible`].
///
/// # Errors
/// [`Unread`].
pub fn read_one_wire(bytes: &[u8]) -> Told {
    celsius(bytes).map(|value| vec![Ok(value)])
}

fn celsius(bytes: &[u8]) -> Result<f64, Unread> {
    let mut lines = text(bytes)?.lines();
    let first = lines.next().unwrap_or_default().trim_end();
    if first.is_empty() {
        return Err(Unread::NotOneWire("it is empty"));
    }
    if first.ends_with("NO") {
        return Err(Unread::Checksum);
    }
    if !first.ends_with("YES") {
        return Err(Unread::NotOneWire("line 1 ends neither YES nor NO"));
    }
    let scratchpad = first.split(':').next().unwrap_or_default().trim();
    if !scratchpad.is_empty() && scratchpad.chars().all(|sign| sign == '0' || sign == ' ') {
        return Err(Unread::OnlyZeros);
    }
    let second = lines.next().unwrap_or_default();
    let (_, thousandths) = second.split_once("t=").ok_or(Unread::NotOneWire("line 2 has no t="))?;
    let thousandths: i32 =
        thousandths.trim().parse().map_err(|_| Unread::NotOneWire("t= is no whole number"))?;
    Ok(f64::from(thousandths) / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::{Unread, celsius};

    #[test]
    fn a_thermometer_is_read_or_said_to_be_wrong() {
        let first = "4b 01 4b 46 7f ff 05 10 e1 : crc=e1 ";
        let second = "4b 01 4b 46 7f ff 05 10 e1 ";
        let file = |end: &str, t: &str| celsius(format!("{first}{end}\n{second}{t}\n").as_bytes());
        assert_eq!(file("YES", "t=20687"), Ok(20.687));
        assert_eq!(file("YES", "t=-1062"), Ok(-1.062));
        assert_eq!(file("YES", "t=85000"), Ok(85.0));
        assert_eq!(file("YES", "t=-127000"), Ok(-127.0));
        assert_eq!(file("NO", "t=20687"), Err(Unread::Checksum));
        for (end, t) in [("", "t=1"), ("YES", ""), ("YES", "t="), ("YES", "t=x"), ("YES", "t=NaN")]
        {
            assert!(matches!(file(end, t), Err(Unread::NotOneWire(_))), "{end} {t}");
        }
        let zeros = b"00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n";
        assert_eq!(celsius(zeros), Err(Unread::OnlyZeros));
        assert!(matches!(celsius(b""), Err(Unread::NotOneWire(_))));
        assert_eq!(celsius(&[0xff, 0xfe]), Err(Unread::NotText));
        assert_eq!(celsius(&[b' '; 5000]), Err(Unread::TooLong));
    }
}
