//! A broker in cipher: believed where the named authority vouches for it, and refused in words where
//! another does.

use serde_json::json;

use crate::broker::StandIn;
use crate::common::real_run;
use crate::feeding::Shed;
use crate::guarded::Guarded;

#[test]
fn a_broker_in_cipher_is_told_where_its_authority_is_named_and_refused_where_another_is() {
    let shed = Shed::new();
    let broker = StandIn::start(None);
    let door = Guarded::before(broker.port);
    let other = Guarded::before(broker.port);
    std::fs::write(shed.path("own.pem"), &door.authority).expect("a file");
    std::fs::write(shed.path("other.pem"), &other.authority).expect("a file");
    real_run(shed.server());
    let by = |file: &str| {
        format!(
            "[broker]\nhost = \"127.0.0.1\"\nport = {}\ntls = true\nca_file = \"{file}\"\n\
             [broker.publish]\ntopic = \"shed\"\n",
            door.port
        )
    };
    let text = format!("format = 1\n{}", by("other.pem"));
    std::fs::write(shed.path("feeds.toml"), text).expect("a file");
    shed.until("it is refused in words", |feeds| {
        let said = feeds["broker"]["why"].as_str().unwrap_or_default();
        feeds["broker"]["connected"] == json!(false) && said.contains("cannot be guarded")
    });
    assert!(broker.retained().is_empty(), "nothing was said before it was believed");
    shed.tell(&by("own.pem"));
    let told = || broker.retained().get("shed/availability").cloned();
    let end = std::time::Instant::now() + std::time::Duration::from_secs(30);
    while told().as_deref() != Some("online") {
        assert!(std::time::Instant::now() < end, "{:?}", broker.retained());
        std::thread::sleep(std::time::Duration::from_millis(50));
    }
}
