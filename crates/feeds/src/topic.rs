//! Topics of a broker: what can be a filter or a name, and which names a filter means (MQTT 3.1.1,
//! section 4.7, from memory).

/// Most bytes of a topic (judgement: the standard allows 65 535, nobody types more than this).
pub const TOPIC_BYTES_MAX: usize = 256;

/// What is wrong with a filter, in words; none where it is sound.
#[must_use]
pub fn filter_fault(filter: &str) -> Option<&'static str> {
    if let Some(fault) = text_fault(filter) {
        return Some(fault);
    }
    let levels: Vec<&str> = filter.split('/').collect();
    for (place, level) in levels.iter().enumerate() {
        if level.contains('#') && (*level != "#" || place + 1 != levels.len()) {
            return Some("must have # only alone and as its last level");
        }
        if level.contains('+') && *level != "+" {
            return Some("must have + only alone in a level");
        }
    }
    None
}

/// What is wrong with a topic that is written to; none where it is sound.
#[must_use]
pub fn name_fault(name: &str) -> Option<&'static str> {
    let wild = name.contains(['#', '+']).then_some("must be a topic without # and +");
    let ends = (name.starts_with('/') || name.ends_with('/'))
        .then_some("must neither begin nor end with /");
    let system = name.starts_with('$').then_some("must not begin with $, which is the broker's");
    text_fault(name).or(wild).or(ends).or(system)
}

fn text_fault(topic: &str) -> Option<&'static str> {
    if topic.is_empty() || topic.len() > TOPIC_BYTES_MAX {
        return Some("must have 1 to 256 bytes");
    }
    topic.chars().any(char::is_control).then_some("must have no sign that no one can see")
}

/// Whether a filter means a topic.
#[must_use]
pub fn is_meant(filter: &str, topic: &str) -> bool {
    // A wildcard in the first level means none of the broker's own topics.
    if topic.starts_with('$') && filter.starts_with(['#', '+']) {
        return false;
    }
    let (mut wanted, mut there) = (filter.split('/'), topic.split('/'));
    loop {
        match (wanted.next(), there.next()) {
            (Some("#"), _) | (None, None) => return true,
            (Some("+"), Some(_)) => {}
            (Some(level), Some(other)) if level == other => {}
            _ => return false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{filter_fault, is_meant, name_fault};

    #[test]
    fn a_filter_means_what_the_standard_says() {
        // Examples of section 4.7.1, from memory.
        let meant = [
            ("sport/tennis/player1/#", "sport/tennis/player1"),
            ("sport/tennis/player1/#", "sport/tennis/player1/score/wimbledon"),
            ("sport/#", "sport"),
            ("#", "a/b"),
            ("sport/tennis/+", "sport/tennis/player1"),
            ("sport/+", "sport/"),
            ("+/+", "/finance"),
            ("/+", "/finance"),
            ("$SYS/#", "$SYS/broker"),
        ];
        let not = [
            ("sport/tennis/+", "sport/tennis/player1/ranking"),
            ("sport/+", "sport"),
            ("+", "/finance"),
            ("#", "$SYS/broker"),
            ("+/broker", "$SYS/broker"),
            ("a/b", "a/B"),
            ("a/b", "a/b/"),
        ];
        assert!(meant.iter().all(|(filter, topic)| is_meant(filter, topic)));
        assert!(not.iter().all(|(filter, topic)| !is_meant(filter, topic)));
    }

    #[test]
    fn what_is_no_filter_or_no_name_is_told() {
        for sound in ["a", "+", "#", "a/+/b", "a/#", "/", "+/#", "a b/°C"] {
            assert_eq!(filter_fault(sound), None, "{sound}");
        }
        for broken in ["", "a#", "a/#/b", "a+/b", "a/b+", "a\0b", &"x".repeat(257)] {
            assert!(filter_fault(broken).is_some(), "{broken}");
        }
        assert_eq!(name_fault("shed/still"), None);
        for broken in ["", "a/+", "#", "/a", "a/", "$SYS/a"] {
            assert!(name_fault(broken).is_some(), "{broken}");
        }
    }
}
