//! Bytes as they come, cut into lines of bounded length.

use crate::unread::{LINE_BYTES_MAX, Unread};

/// What has come of the line that is not over yet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Lines {
    begun: Vec<u8>,
    passing_over: bool,
}

impl Lines {
    /// For bytes that may begin amid a line: what comes before the first line end is no line, as
    /// "8.3" may be the rest of "78.3".
    #[must_use]
    pub const fn from_amid() -> Self {
        Self { begun: Vec::new(), passing_over: true }
    }

    /// Whether bytes came of a line whose end did not.
    #[must_use]
    pub const fn is_amid(&self) -> bool {
        self.passing_over || !self.begun.is_empty()
    }

    /// Takes bytes and gives the lines that are over, without their ends and without empty ones. A
    /// line that is too long is told once and passed over to its end.
    pub fn take(&mut self, bytes: &[u8]) -> Vec<Result<Vec<u8>, Unread>> {
        let mut over = Vec::new();
        for piece in bytes.split_inclusive(|&byte| is_end(byte)) {
            let ends = piece.last().is_some_and(|&byte| is_end(byte));
            if !self.passing_over {
                self.begun.extend_from_slice(piece);
                if self.begun.len() > LINE_BYTES_MAX {
                    self.begun.clear();
                    self.passing_over = true;
                    over.push(Err(Unread::TooLong));
                }
            }
            if ends {
                let line = std::mem::take(&mut self.begun);
                let passed_over = std::mem::replace(&mut self.passing_over, false);
                let line = line.trim_ascii();
                if !passed_over && !line.is_empty() {
                    over.push(Ok(line.to_vec()));
                }
            }
        }
        over
    }
}

/// Whether a line ends there: some devices send one of the two signs, most both.
pub(crate) const fn is_end(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}

#[cfg(test)]
mod tests {
    use super::{LINE_BYTES_MAX, Lines, Unread};

    #[test]
    fn lines_come_when_they_are_over() {
        let mut lines = Lines::default();
        assert!(lines.take(b"78.").is_empty());
        assert_eq!(lines.take(b"3\r\n\n9"), [Ok(b"78.3".to_vec())]);
        assert_eq!(lines.take(b"\n1\n"), [Ok(b"9".to_vec()), Ok(b"1".to_vec())]);
        assert_eq!(lines.take(b"2\r3\r"), [Ok(b"2".to_vec()), Ok(b"3".to_vec())]);
    }

    #[test]
    fn what_began_before_the_first_end_is_no_line() {
        assert_eq!(Lines::from_amid().take(b"8.3\n78.4\n"), [Ok(b"78.4".to_vec())]);
    }

    #[test]
    fn a_line_too_long_is_told_once_and_passed_over() {
        let mut lines = Lines::default();
        assert_eq!(lines.take(&[b'x'; LINE_BYTES_MAX + 1]), [Err(Unread::TooLong)]);
        assert!(lines.take(&vec![b'x'; 9 * LINE_BYTES_MAX]).is_empty());
        assert_eq!(lines.take(b"x\n5\n"), [Ok(b"5".to_vec())]);
    }
}
