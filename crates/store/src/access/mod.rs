//! Who may come in from other machines: sessions of people, tokens of devices, codes that pair.
//! Of a secret only its digest is kept. A file of its own, which the server and a command may both
//! write; it is no part of the record and of no backup.

mod book;
mod device;
mod pairing;
mod person;

pub use book::{AccessBook, SecretDigest};
pub use device::{DEVICES_MAX, Device, DeviceOf};
pub use pairing::CODES_MAX;
pub use person::{PEOPLE_MAX, Person, Role};

#[cfg(test)]
mod tests {
    use super::{AccessBook, CODES_MAX, Device, DeviceOf, Person, Role};

    fn person(id: &str, expires_ms: i64) -> Person {
        let name = "phone".to_owned();
        Person {
            id: id.to_owned(),
            role: Role::Attendant,
            name,
            made_ms: 1,
            expires_ms,
            seen_ms: 1,
        }
    }

    #[test]
    fn a_code_is_taken_once_and_in_time() {
        let book = AccessBook::unkept().unwrap();
        book.put_code(&[1; 32], Role::LookerOn, 100, 0).unwrap();
        book.put_code(&[2; 32], Role::Attendant, 100, 0).unwrap();
        assert_eq!(book.take_code(&[3; 32], 50).unwrap(), None);
        assert_eq!(book.take_code(&[1; 32], 50).unwrap(), Some(Role::LookerOn));
        assert_eq!(book.take_code(&[1; 32], 50).unwrap(), None, "used");
        assert_eq!(book.take_code(&[2; 32], 100).unwrap(), None, "expired");
    }

    #[test]
    fn codes_are_bounded_the_newest_stay() {
        let book = AccessBook::unkept().unwrap();
        for n in 0..=u8::try_from(CODES_MAX).unwrap() {
            book.put_code(&[n; 32], Role::Attendant, 100 + i64::from(n), 0).unwrap();
        }
        assert_eq!(book.take_code(&[0; 32], 50).unwrap(), None);
        assert_eq!(book.take_code(&[1; 32], 50).unwrap(), Some(Role::Attendant));
    }

    #[test]
    fn people_expire_and_are_turned_out_and_two_processes_share_the_book() {
        let folder = tempfile::tempdir().unwrap();
        let book = AccessBook::open(folder.path()).unwrap();
        let other = AccessBook::open(folder.path()).unwrap();
        book.put_person(&person("a", 100), &[1; 32], 0).unwrap();
        book.put_person(&person("b", 500), &[2; 32], 0).unwrap();
        assert_eq!(other.person("a", 99).unwrap().unwrap().1, [1; 32]);
        assert!(other.person("a", 100).unwrap().is_none(), "expired");
        assert_eq!(other.people(100).unwrap().len(), 1);
        assert!(other.revoke("b").unwrap() && !other.revoke("b").unwrap());
        assert!(book.person("b", 0).unwrap().is_none());
        let device = Device {
            id: "d".to_owned(),
            of: DeviceOf::Still("Copper".to_owned()),
            name: "board".to_owned(),
            made_ms: 1,
            seen_ms: None,
        };
        book.put_device(&device, &[4; 32]).unwrap();
        other.note_seen("d", 7).unwrap();
        assert_eq!(book.device("d").unwrap().unwrap().0.seen_ms, Some(7));
        let of = DeviceOf::Wash("Plum".to_owned());
        let float = Device { id: "f".to_owned(), of: of.clone(), made_ms: 2, ..device };
        book.put_device(&float, &[5; 32]).unwrap();
        assert_eq!(other.device("f").unwrap().unwrap().0.of, of);
        assert_eq!(book.devices().unwrap().len(), 2);
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let file = std::fs::metadata(folder.path().join("access.sqlite")).unwrap();
            assert_eq!(file.permissions().mode() & 0o777, 0o600);
        }
    }

    #[test]
    fn a_book_of_the_first_version_keeps_its_devices() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("access.sqlite");
        let old = rusqlite::Connection::open(&path).unwrap();
        old.execute_batch(
            "CREATE TABLE device (id TEXT PRIMARY KEY, digest BLOB NOT NULL, still TEXT NOT NULL,
                name TEXT NOT NULL, made_ms INTEGER NOT NULL, seen_ms INTEGER) STRICT;
            INSERT INTO device VALUES ('d', zeroblob(32), 'Copper', 'board', 1, NULL);
            PRAGMA application_id = 0x4d644361; PRAGMA user_version = 1;",
        )
        .unwrap();
        drop(old);
        for _ in 0..2 {
            let devices = AccessBook::open(folder.path()).unwrap().devices().unwrap();
            assert_eq!(devices[0].of, DeviceOf::Still("Copper".to_owned()));
        }
    }
}
