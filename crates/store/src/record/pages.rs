//! The structure of the file itself, as the database looks at it.

use rusqlite::Connection;

/// Every page, with the index.
pub(super) fn check_file(connection: &Connection) -> Result<(), String> {
    ask(connection, "PRAGMA integrity_check(1)")
}

/// Page by page: what is looked at before a file is opened for writing.
pub(super) fn check_pages(connection: &Connection) -> Result<(), String> {
    ask(connection, "PRAGMA quick_check(1)")
}

fn ask(connection: &Connection, question: &str) -> Result<(), String> {
    let said = connection.query_row(question, [], |row| row.get::<_, String>(0));
    match said {
        Ok(said) if said == "ok" => Ok(()),
        Ok(said) => Err(format!("the file is damaged: {said}")),
        Err(error) => Err(format!("the file is damaged: {error}")),
    }
}
