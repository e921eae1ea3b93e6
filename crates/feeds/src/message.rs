//! Messages of a broker: which of a source's values one holds, and what it says of each.

use serde_json::Value;

use crate::file::{At, Wanted};
use crate::line::of_json;
use crate::topic::is_meant;
use crate::unread::{Unread, number, shown, text};

/// A topic of a filter that means several is listened to alone until it was silent for so long, s
/// (judgement: above the slowest probe of a battery, below the patience of who changes a device).
const SILENT_S: f64 = 120.0;

/// One message.
#[derive(Debug, Clone, Copy)]
pub struct Message<'of> {
    /// Its topic.
    pub topic: &'of str,
    /// What it says.
    pub payload: &'of [u8],
    /// Whether the broker kept it from before it was listened to.
    pub retained: bool,
}

/// What is known of the topics of one source.
#[derive(Debug, Clone, Default)]
pub struct Messages {
    /// For each value the topic that it comes from, and when it last came, s.
    from: Vec<Option<(String, f64)>>,
}

impl Messages {
    /// What a message says of the values that it holds, each with its place.
    ///
    /// What a broker kept is no reading of now: nobody knows when it was taken. It is told as
    /// [`Unread::Retained`]. A filter that means several topics would mix several probes: the first
    /// that holds the value is listened to alone until it is silent.
    pub fn take(
        &mut self,
        at_s: f64,
        message: &Message<'_>,
        wanted: &[Wanted],
    ) -> Vec<(usize, Result<f64, Unread>)> {
        self.from.resize(wanted.len(), None);
        let of_it = |wanted: &Wanted| {
            wanted.topic.as_deref().is_some_and(|filter| is_meant(filter, message.topic))
        };
        let mut told = Vec::new();
        for (place, wanted) in wanted.iter().enumerate().filter(|(_, wanted)| of_it(wanted)) {
            let read = read_payload(message.payload, &wanted.at);
            if message.retained {
                let held = read.map_or_else(|_| "no number".to_owned(), |raw| raw.to_string());
                told.push((place, Err(Unread::Retained(held))));
                continue;
            }
            let other = self.from[place]
                .as_ref()
                .filter(|(topic, last_s)| topic != message.topic && at_s - last_s <= SILENT_S);
            match (read, other) {
                // It says nothing of this value, which comes from elsewhere.
                (Err(_), Some(_)) => {}
                (Err(unread), None) => told.push((place, Err(unread))),
                (Ok(_), Some((topic, _))) => {
                    let (other, topic) = (shown(message.topic), shown(topic));
                    told.push((place, Err(Unread::AnotherTopic { topic, other })));
                }
                (Ok(raw), None) => {
                    self.from[place] = Some((message.topic.to_owned(), at_s));
                    told.push((place, Ok(raw)));
                }
            }
        }
        told
    }
}

/// The number that a payload holds: all of it, or what stands at a place of its JSON.
///
/// # Errors
/// [`Unread`] where there is none.
pub fn read_payload(bytes: &[u8], at: &At) -> Result<f64, Unread> {
    let text = text(bytes)?.trim();
    if text.is_empty() {
        return Err(Unread::EmptyMessage);
    }
    if matches!(at, At::Only) {
        return only(text);
    }
    let value: Value =
        serde_json::from_str(text).map_err(|error| Unread::NotJson(error.to_string()))?;
    of_json(&value, at)
}

/// The number that is all of a message, bare or as text in JSON.
fn only(text: &str) -> Result<f64, Unread> {
    if text.starts_with(['{', '[']) {
        return Err(Unread::NeedsField(shown(text)));
    }
    let quoted = text.starts_with('"').then(|| serde_json::from_str::<String>(text).ok()).flatten();
    number(quoted.as_deref().unwrap_or(text), "all of its message")
}

#[cfg(test)]
mod tests {
    use sense::Probe;

    use super::{At, Message, Messages, Unread, Wanted, read_payload};
    use crate::unit::own_unit;

    fn wanted(topic: &str, at: At) -> Wanted {
        let probe = Probe::Head;
        let topic = Some(topic.to_owned());
        Wanted { probe: probe.into(), topic, at, unit: own_unit(probe), scale: 1.0, offset: 0.0 }
    }

    const fn message<'of>(topic: &'of str, payload: &'of [u8], retained: bool) -> Message<'of> {
        Message { topic, payload, retained }
    }

    #[test]
    fn a_payload_is_a_number_or_json() {
        let (only, head) = (At::Only, At::Field("head".into()));
        assert_eq!(read_payload(b" 78.3\n", &only), Ok(78.3));
        assert_eq!(read_payload(b"-1e1", &only), Ok(-10.0));
        assert_eq!(read_payload(br#"{"head": 78.3}"#, &head), Ok(78.3));
        assert_eq!(read_payload(b"[1, [2.5]]", &At::Pointer("/1/0".into())), Ok(2.5));
        assert_eq!(read_payload(b"\"78.3\"", &only), Ok(78.3));
        assert_eq!(read_payload(b"\xef\xbb\xbf78.3\0", &only), Ok(78.3));
        assert_eq!(read_payload(b" ", &only), Err(Unread::EmptyMessage));
        assert_eq!(read_payload(b"78,3", &only), Err(Unread::WithComma("78,3".into())));
        assert!(matches!(read_payload(b"{\"a\": 1}", &only), Err(Unread::NeedsField(_))));
        assert_eq!(read_payload(b"nan", &only), Err(Unread::NotFinite("nan".into())));
        assert_eq!(read_payload(b"78.3", &head), Err(Unread::Absent("\"head\"".into())));
        assert_eq!(read_payload(b"{\"head\": null}", &head), Err(Unread::Empty("\"head\"".into())));
        assert!(matches!(read_payload(b"{\"head\": 7", &head), Err(Unread::NotJson(_))));
        assert_eq!(read_payload(&[0xff], &only), Err(Unread::NotText));
        assert_eq!(read_payload(&[b'1'; 4097], &only), Err(Unread::TooLong));
    }

    #[test]
    fn what_the_broker_kept_is_no_reading_of_now() {
        let mut messages = Messages::default();
        let wanted = [wanted("shed/head", At::Only)];
        let told = messages.take(0.0, &message("shed/head", b"78.3", true), &wanted);
        assert_eq!(told, [(0, Err(Unread::Retained("78.3".into())))]);
        assert_eq!(
            messages.take(1.0, &message("shed/head", b"78.4", false), &wanted),
            [(0, Ok(78.4))]
        );
        assert_eq!(messages.take(1.0, &message("shed/pot", b"1", false), &wanted), []);
    }

    #[test]
    fn one_message_may_hold_several_values() {
        let wanted = [
            wanted("shed/#", At::Field("a".into())),
            wanted("shed/box", At::Pointer("/b/0".into())),
            wanted("other", At::Only),
        ];
        let told = Messages::default().take(
            0.0,
            &message("shed/box", br#"{"a": 1, "b": [2]}"#, false),
            &wanted,
        );
        assert_eq!(told, [(0, Ok(1.0)), (1, Ok(2.0))]);
    }

    #[test]
    fn a_filter_does_not_mix_two_probes() {
        let mut messages = Messages::default();
        let wanted = [wanted("shed/+/celsius", At::Only)];
        let mut take = |at_s, topic, payload: &[u8]| {
            messages.take(at_s, &message(topic, payload, false), &wanted).remove(0).1
        };
        assert_eq!(take(0.0, "shed/a/celsius", b"78"), Ok(78.0));
        assert!(matches!(take(1.0, "shed/b/celsius", b"20"), Err(Unread::AnotherTopic { .. })));
        assert_eq!(take(2.0, "shed/a/celsius", b"79"), Ok(79.0));
        assert_eq!(take(200.0, "shed/b/celsius", b"80"), Ok(80.0), "the first is silent");
    }

    #[test]
    fn a_topic_that_does_not_hold_the_value_does_not_take_its_place() {
        let mut messages = Messages::default();
        let wanted = [wanted("shed/#", At::Field("pot".into()))];
        let mut take =
            |topic, payload: &[u8]| messages.take(0.0, &message(topic, payload, false), &wanted);
        assert!(matches!(take("shed/head", b"71").remove(0).1, Err(Unread::Absent(_))));
        assert_eq!(take("shed/box", br#"{"pot": 88}"#), [(0, Ok(88.0))]);
        assert_eq!(take("shed/head", b"71"), []);
    }
}
