//! The file: the worked example of the page, and everything it is refused for by line and key.

use std::path::Path;

use feeds::{At, Feeds, FeedsError, LineShape, Password, SourceKind, parse};
use sense::{Probe, WashProbe};

/// The examples of the page.
fn examples() -> impl Iterator<Item = &'static str> {
    let page = include_str!("../../../../docs/feeds.md");
    page.split("```toml\n").skip(1).map(|rest| rest.split_once("```").expect("it ends").0)
}

/// The first of them.
pub(crate) fn example() -> String {
    examples().next().expect("the page has an example").to_owned()
}

fn read(text: &str) -> Result<Feeds, FeedsError> {
    parse(text, Path::new("shed/feeds.toml"))
}

#[test]
fn the_worked_example_says_what_the_page_says() {
    let feeds = read(&example()).expect("the example is sound");
    let still = &feeds.stills[0];
    let kinds: Vec<SourceKind> = still.sources.iter().map(|source| source.kind.clone()).collect();
    assert_eq!(
        kinds,
        [
            SourceKind::OneWire { every_s: 2.0 },
            SourceKind::Serial { baud: 115_200, lines: LineShape::Json },
            SourceKind::File { every_s: 5.0, time: Some("time".into()) },
        ]
    );
    assert_eq!(still.order[&Probe::Head.into()], [0, 1], "the thermometer first, then the box");
    assert_eq!(still.order[&Probe::Pressure.into()], [2]);
    let head = &still.sources[1].values[0];
    assert_eq!(head.at, At::Field("head_f".into()));
    assert!((head.value(212.0) - 100.0).abs() < 1e-9);
}

/// A sound file of one line a key, so that each refusal has a line of its own.
const SOUND: &str = "\
format = 1
[[still]]
name = \"Shed\"
[[still.source]]
name = \"head\"
kind = \"one_wire\"
path = \"/sys/bus/w1/devices/28-1/w1_slave\"
every_s = 2
[[still.source.value]]
channel = \"head_c\"
[[still.source]]
name = \"box\"
kind = \"serial\"
path = \"/dev/ttyUSB0\"
baud = 9600
lines = \"commas\"
[[still.source.value]]
channel = \"head_c\"
place = 1
unit = \"F\"
scale = 1.0
offset = 0.2
[still.order]
head_c = [\"box\", \"head\"]
";

#[test]
fn every_refusal_names_line_key_bound_and_hint() {
    assert_eq!(read(SOUND).expect("sound").stills[0].order[&Probe::Head.into()], [1, 0]);
    let table = [
        ("format = 1", "format = 2", 1, "format", "must be 1"),
        ("name = \"Shed\"", "name = \"\"", 3, "still[1].name", "1 to 60 characters"),
        ("name = \"Shed\"", "nome = \"Shed\"", 3, "still[1].nome", "\"nome\" is unknown"),
        ("\"one_wire\"", "\"two_wire\"", 6, "still[1].source[1].kind", "expected one of one_wire"),
        ("every_s = 2", "every_s = 0", 8, "still[1].source[1].every_s", "from 0.1 to 600 s"),
        ("every_s = 2", "every_s = \"2\"", 8, "still[1].source[1].every_s", "expected a number"),
        ("every_s = 2", "baud = 300", 8, "still[1].source[1].baud", "kind one_wire"),
        (
            "\"head_c\"\n[[",
            "\"heat_c\"\n[[",
            10,
            "still[1].source[1].value[1].channel",
            "one of head_c",
        ),
        ("name = \"box\"", "name = \"head\"", 12, "still[1].source[2].name", "two sources"),
        ("path = \"/dev/ttyUSB0\"", "path = \"\"", 14, "still[1].source[2].path", "path of a file"),
        ("baud = 9600", "baud = 5", 15, "still[1].source[2].baud", "300 to 4000000"),
        ("baud = 9600", "every_s = 5", 15, "still[1].source[2].every_s", "kind serial"),
        ("place = 1", "place = 0", 19, "still[1].source[2].value[1].place", "from 1 to 200"),
        ("place = 1", "place = -1", 19, "still[1].source[2].value[1].place", "-1"),
        (
            "unit = \"F\"",
            "unit = \"inHg\"",
            20,
            "still[1].source[2].value[1].unit",
            "one of C, F, K",
        ),
        ("scale = 1.0", "scale = 0", 21, "still[1].source[2].value[1].scale", "must not be 0"),
        ("offset = 0.2", "offset = nan", 22, "still[1].source[2].value[1].offset", "must lie"),
        ("[\"box\", \"head\"]", "[\"box\"]", 24, "still[1].order.head_c", "every source"),
        ("[\"box\", \"head\"]", "[\"box\", \"box\"]", 24, "still[1].order.head_c[2]", "twice"),
        (
            "[\"box\", \"head\"]",
            "[\"bux\"]",
            24,
            "still[1].order.head_c[1]",
            "a source of this still",
        ),
    ];
    for (from, to, line, key, bound) in table {
        let error = read(&SOUND.replacen(from, to, 1)).expect_err(to);
        let said = error.to_string();
        let bound_told = error.bound.contains(bound) || error.value.contains(bound);
        assert!(bound_told, "{to}: {said}");
        assert_eq!((error.line, error.key.as_str()), (Some(line), key), "{said}");
        assert!(said.starts_with(&format!("shed/feeds.toml:{line}: ")), "{said}");
        assert!(!error.hint.is_empty(), "{said}");
    }
}

#[test]
fn what_is_missing_is_named() {
    let table = [
        ("lines = \"commas\"\n", "still[1].source[2].lines"),
        ("place = 1\n", "still[1].source[2].value[1].place"),
        ("path = \"/dev/ttyUSB0\"\n", "still[1].source[2].path"),
        ("[[still.source.value]]\nchannel = \"head_c\"\n[[", "still[1].source[1].value"),
    ];
    for (from, key) in table {
        let to = if from.ends_with("[[") { "[[" } else { "" };
        let error = read(&SOUND.replacen(from, to, 1)).expect_err(from);
        assert_eq!(error.key, key, "{error}");
        assert!(error.line.is_some(), "{error}");
    }
    assert_eq!(read("format = 1\n").expect_err("no still").key, "still");
    let twice = format!("{SOUND}{}", SOUND.strip_prefix("format = 1\n").unwrap_or_default());
    assert_eq!(read(&twice).expect_err("twice").key, "still[2].name");
    assert!(read("format = 1\n[[still").expect_err("no TOML").line.is_some());
}

/// As [`SOUND`], with a broker.
const BROKER: &str = "\
format = 1
[broker]
host = \"192.168.1.20\"
user = \"still\"
password_file = \"broker-password\"
tls = true
ca_file = \"broker-ca.pem\"
[broker.publish]
topic = \"shed/still\"
discovery = \"homeassistant\"
[[still]]
name = \"Shed\"
[[still.source]]
name = \"board\"
kind = \"mqtt\"
[[still.source.value]]
channel = \"head_c\"
topic = \"shed/board/head\"
[[still.source.value]]
channel = \"pot_c\"
topic = \"shed/+/all\"
field = \"/t/1\"
";

#[test]
fn the_pages_broker_is_sound_and_what_it_is_told_too() {
    let [_, broker, wash, publish] =
        examples().collect::<Vec<_>>().try_into().expect("four of them");
    let wash = &read(wash).expect("the example of a wash is sound").washes[0];
    assert_eq!((wash.name.as_str(), wash.sources[0].values.len()), ("Plum", 2));
    let feeds = read(&broker.replacen("[[still]]", &format!("{publish}[[still]]"), 1));
    let feeds = feeds.expect("the examples are sound");
    let publish = feeds.broker.and_then(|broker| broker.publish).expect("it is told");
    assert_eq!((publish.topic.as_str(), publish.discovery.is_some()), ("middlecut", true));
    let topics = feeds.stills[0].sources[0].values.iter().map(|wanted| wanted.topic.as_deref());
    assert_eq!(topics.collect::<Vec<_>>(), [Some("shed/board/head"), Some("shed/+/all")]);
}

#[test]
fn a_broker_is_read_and_listened_to() {
    let feeds = read(BROKER).expect("sound");
    let broker = feeds.broker.expect("a broker");
    assert_eq!(broker.address(), "mqtts://192.168.1.20:8883");
    assert_eq!(broker.password, Some(Password::File("broker-password".into())));
    let publish = broker.publish.as_ref().expect("it is told");
    assert_eq!(
        (publish.topic.as_str(), publish.discovery.as_deref()),
        ("shed/still", Some("homeassistant"))
    );
    let board = &feeds.stills[0].sources[0];
    assert_eq!(board.kind, SourceKind::Mqtt { broker: broker.to_listen() });
    assert_eq!(
        (&board.values[0].at, board.values[1].at.clone()),
        (&At::Only, At::Pointer("/t/1".into()))
    );
    assert_eq!(board.values[0].topic.as_deref(), Some("shed/board/head"));
    let told_only = BROKER.split("[[still]]").next().expect("a part");
    assert_eq!(read(told_only).expect("runs are told of, and read elsewhere").stills, []);
}

#[test]
fn what_is_wrong_with_a_broker_is_told_by_line_and_key_and_never_with_a_password() {
    let table = [
        (
            "host = \"192.168.1.20\"",
            "host = \"mqtt://a\"",
            Some(3),
            "broker.host",
            "must be a host",
        ),
        ("host = \"192.168.1.20\"", "port = 1", None, "broker.host", "host"),
        ("tls = true", "tls = false", Some(7), "broker.ca_file", "without tls = true"),
        ("tls = true", "tls = true\nport = 0", Some(7), "broker.port", "from 1 to 65535"),
        ("user = \"still\"", "", Some(5), "broker.password_file", "without user"),
        (
            "password_file = \"broker-password\"",
            "password_file = \"\"",
            Some(5),
            "broker.password_file",
            "where the password stands",
        ),
        ("user = \"still\"", "password = \"secret\"", Some(4), "broker.password", "unknown"),
        ("\"shed/still\"", "\"shed/#\"", Some(9), "broker.publish.topic", "without # and +"),
        (
            "\"homeassistant\"",
            "\"/a\"",
            Some(10),
            "broker.publish.discovery",
            "begin nor end with /",
        ),
        ("topic = \"shed/board/head\"", "", None, "still[1].source[1].value[1].topic", "kind mqtt"),
        ("shed/+/all", "shed/#/all", Some(21), "still[1].source[1].value[2].topic", "last level"),
        (
            "kind = \"mqtt\"",
            "kind = \"mqtt\"\npath = \"a\"",
            Some(16),
            "still[1].source[1].path",
            "kind mqtt",
        ),
        ("field = \"/t/1\"", "place = 1", None, "still[1].source[1].value[2].field", "place not"),
    ];
    for (from, to, line, key, bound) in table {
        let error = read(&BROKER.replacen(from, to, 1)).expect_err(to);
        let said = format!("{error} {}", error.hint);
        assert_eq!(error.key, key, "{said}");
        assert!(line.is_none() || error.line == line, "{said}");
        assert!(said.contains(bound) && !said.contains("secret"), "{said}");
    }
    let alone = BROKER.replacen("[broker]\nhost = \"192.168.1.20\"\n", "[other]\n", 1);
    assert!(read(&alone).is_err());
    let (head, still) = BROKER.split_once("[broker]").expect("a broker");
    let still = still.split_once("[[still]]").expect("a still").1;
    let error = read(&format!("{head}[[still]]{still}")).expect_err("no broker");
    assert_eq!(error.key, "still[1].source[1].kind", "{error}");
}

/// A wash beside a still that has none of its channels.
const WASH: &str = "format = 1
[[wash]]
name = \"Plum\"
[[wash.source]]
name = \"float\"
kind = \"serial\"
path = \"/dev/ttyUSB1\"
lines = \"commas\"
[[wash.source.value]]
channel = \"gravity\"
place = 1
unit = \"points\"
[[wash.source.value]]
channel = \"temperature_c\"
place = 2
[wash.order]
gravity = [\"float\"]
";

#[test]
fn a_wash_is_fed_as_a_still_is_and_refused_as_one() {
    let feeds = read(WASH).expect("sound");
    let (gravity, order) = (&feeds.washes[0].sources[0].values[0], &feeds.washes[0].order);
    assert!(feeds.stills.is_empty() && (gravity.value(50.0) - 1.050).abs() < 1e-12);
    assert_eq!(order[&WashProbe::Gravity.into()], [0]);
    let table = [
        ("\"gravity\"\n", "\"head_c\"\n", 10, "wash[1].source[1].value[1].channel", "for a wash"),
        ("unit = \"points\"", "unit = \"C\"", 12, "wash[1].source[1].value[1].unit", "SG, points"),
        ("gravity = [", "ph = [", 17, "wash[1].order.ph[1]", "a source of this wash"),
        ("[wash.order]", "[[wash]]\nname = \"Plum\"", 18, "wash[2].gravity", "is unknown"),
        ("name = \"Plum\"", "name = \"\"", 3, "wash[1].name", "1 to 60 characters"),
    ];
    for (sound, broken, line, key, bound) in table {
        let error = read(&WASH.replacen(sound, broken, 1)).expect_err(broken);
        assert_eq!((error.line, error.key.as_str()), (Some(line), key), "{error}");
        assert!(error.bound.contains(bound), "{error}");
    }
    let twice = format!("{}{}", WASH, WASH.replace("format = 1\n", ""));
    assert_eq!(read(&twice).expect_err("twice").key, "wash[2].name");
}

#[test]
fn what_is_read_twice_is_refused_and_says_by_whom() {
    let source = |name: &str, kind: &str, path: &str, channel: &str, at: &str| {
        format!(
            "[[still.source]]\nname = \"{name}\"\nkind = \"{kind}\"\npath = \"{path}\"\n\
             [[still.source.value]]\nchannel = \"{channel}\"\n{at}\n"
        )
    };
    let file = |sources: &[String]| {
        read(&format!("format = 1\n[[still]]\nname = \"Shed\"\n{}", sources.concat()))
    };
    let one = |name, channel| source(name, "one_wire", "/w1", channel, "unit = \"°C\"");
    assert!(file(&[one("a", "head_c")]).is_ok(), "degrees have their sign");
    let twice = file(&[one("a", "head_c"), one("b", "pot_c")]).expect_err("one probe");
    assert_eq!((twice.key.as_str(), twice.line), ("still[1].source[2].value[1]", Some(15)));
    assert!(twice.bound.contains("\"a\" reads as head_c"), "{twice}");
    let line = |name, place: u32, channel| {
        let at = format!("place = {place}");
        source(name, "serial", "/dev/ttyUSB0", channel, &at)
            .replace("\"serial\"", "\"serial\"\nlines = \"commas\"")
    };
    let twice = file(&[line("a", 1, "head_c"), line("b", 2, "pot_c")]).expect_err("one device");
    assert_eq!((twice.key.as_str(), twice.line), ("still[1].source[2].path", Some(16)));
    let home = file(&[source("a", "one_wire", "~/w1", "head_c", "")]).expect_err("whose home");
    assert!(home.bound.contains('~'), "{home}");
}
