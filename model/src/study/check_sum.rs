//! The check sum of a row: CRC-32 (ISO-HDLC, as in PNG and zlib) over its values, each told apart from the next.

use flate2::Crc;

/// Takes in the values of a row in the order of the table's columns, keys included.
#[derive(Debug, Default)]
pub(super) struct CheckSum(Crc);

impl CheckSum {
    /// An empty row.
    pub(super) fn new() -> Self {
        Self::default()
    }

    /// A whole number: eight bytes, little-endian.
    pub(super) fn integer(mut self, value: i64) -> Self {
        self.0.update(&value.to_le_bytes());
        self
    }

    /// A real number: the bytes of its IEEE 754 form, little-endian, with one form for zero.
    pub(super) fn real(mut self, value: f64) -> Self {
        // SQLite keeps no sign of zero.
        let value = if value == 0.0 { 0.0 } else { value };
        self.0.update(&value.to_le_bytes());
        self
    }

    /// Text or a blob: its length in bytes, then the bytes.
    pub(super) fn bytes(mut self, value: &[u8]) -> Self {
        self.0.update(&(value.len() as u64).to_le_bytes());
        self.0.update(value);
        self
    }

    /// The sum, as it stands in the column.
    pub(super) fn sum(self) -> i64 {
        i64::from(self.0.sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The check value of CRC-32/ISO-HDLC: "123456789" gives 0xCBF43926 (ISO 3309 and ITU-T V.42; value from memory).
    #[test]
    fn it_is_the_published_crc() {
        let mut crc = CheckSum::new();
        crc.0.update(b"123456789");
        assert_eq!(crc.sum(), 0xcbf4_3926);
    }

    #[test]
    fn values_are_told_apart() {
        let sum = |parts: [&str; 2]| parts.iter().fold(CheckSum::new(), |s, p| s.bytes(p.as_bytes())).sum();
        assert_ne!(sum(["ab", "c"]), sum(["a", "bc"]));
        assert_ne!(CheckSum::new().integer(1).integer(2).sum(), CheckSum::new().integer(2).integer(1).sum());
        assert_eq!(CheckSum::new().real(-0.0).sum(), CheckSum::new().real(0.0).sum());
    }
}
