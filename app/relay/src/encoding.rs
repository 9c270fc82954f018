//! Which content coding a client takes (RFC 9110, section 12.5.3). Pure.

/// What an `Accept-Encoding` header says of the three codings that the relay
/// holds. A weight is in thousandths, 0 to 1000; `None` means refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Accepted {
    /// Brotli, `br`.
    pub brotli: Option<u16>,
    /// `gzip`, and its old name `x-gzip`.
    pub gzip: Option<u16>,
    /// No coding. `Some(0)` is the last resort: taken where nothing else is.
    pub identity: Option<u16>,
}

impl Accepted {
    /// Reads the values of all `Accept-Encoding` lines of a request.
    ///
    /// No line at all means identity, as clients that do not ask are often too
    /// simple to unpack. An element with a malformed weight is passed over.
    pub fn parse<'a>(lines: impl IntoIterator<Item = &'a str>) -> Self {
        let (mut brotli, mut gzip, mut identity, mut any) = (None, None, None, None);
        for element in lines.into_iter().flat_map(|line| line.split(',')) {
            let Some((coding, weight)) = weighted(element) else {
                continue;
            };
            let slot = match coding.to_ascii_lowercase().as_str() {
                "br" => &mut brotli,
                "gzip" | "x-gzip" => &mut gzip,
                "identity" => &mut identity,
                "*" => &mut any,
                _ => continue,
            };
            *slot = Some(weight);
        }
        let taken = |said: Option<u16>| said.or(any).filter(|&weight| weight > 0);
        Self {
            brotli: taken(brotli),
            gzip: taken(gzip),
            // Identity stands unless it is refused by name, or by a `*` of
            // weight 0 that nothing more exact takes back.
            identity: match (identity, any) {
                (Some(0), _) | (None, Some(0)) => None,
                (Some(weight), _) => Some(weight),
                (None, _) => Some(0),
            },
        }
    }
}

/// Splits `token;q=0.5` into the token and its weight in thousandths; the weight
/// is 1000 where none is given. `None` for an empty token or a malformed weight.
pub(crate) fn weighted(element: &str) -> Option<(&str, u16)> {
    let mut parts = element.split(';').map(str::trim);
    let token = parts.next().filter(|token| !token.is_empty())?;
    let mut weight = 1000;
    for parameter in parts {
        if let Some((name, value)) = parameter.split_once('=')
            && name.trim_end().eq_ignore_ascii_case("q")
        {
            weight = thousandths(value.trim_start())?;
        }
    }
    Some((token, weight))
}

/// A weight of RFC 9110, section 12.4.2, in thousandths: 0 or 1 with up to three
/// decimals, never above 1.
fn thousandths(text: &str) -> Option<u16> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let whole: u16 = match whole {
        "0" => 0,
        "1" => 1000,
        _ => return None,
    };
    if decimals.len() > 3 || !decimals.bytes().all(|digit| digit.is_ascii_digit()) {
        return None;
    }
    let part: u16 = format!("{decimals:0<3}").parse().ok()?;
    Some(whole + part).filter(|&weight| weight <= 1000)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(line: &str) -> (Option<u16>, Option<u16>, Option<u16>) {
        let Accepted {
            brotli,
            gzip,
            identity,
        } = Accepted::parse([line]);
        (brotli, gzip, identity)
    }

    #[test]
    fn what_browsers_send_takes_both_codings() {
        assert_eq!(
            read("gzip, deflate, br, zstd"),
            (Some(1000), Some(1000), Some(0))
        );
    }

    #[test]
    fn weights_are_read_and_a_weight_of_zero_refuses() {
        assert_eq!(read("br;q=0, gzip;q=0.5"), (None, Some(500), Some(0)));
        assert_eq!(
            read("br;q=0.001 ,\tgzip ; Q = 1.000"),
            (Some(1), Some(1000), Some(0))
        );
        assert_eq!(read("br;q=0.000"), (None, None, Some(0)));
    }

    #[test]
    fn a_star_stands_for_what_is_not_named() {
        assert_eq!(read("*"), (Some(1000), Some(1000), Some(0)));
        assert_eq!(read("gzip;q=0.2, *;q=0"), (None, Some(200), None));
        assert_eq!(read("*;q=0, identity;q=0.1"), (None, None, Some(100)));
    }

    #[test]
    fn identity_stands_unless_it_is_refused() {
        assert_eq!(Accepted::parse([]).identity, Some(0));
        assert_eq!(read(""), (None, None, Some(0)));
        assert_eq!(read("identity;q=0"), (None, None, None));
    }

    #[test]
    fn malformed_weights_are_passed_over() {
        for weight in ["2", "1.001", "-1", "0.1234", "", ".", "0,5", "1e0", "٠"] {
            assert_eq!(read(&format!("br;q={weight}")).0, None, "{weight:?}");
        }
    }

    #[test]
    fn several_lines_count_as_one() {
        let accepted = Accepted::parse(["br;q=0.1", "GZIP;q=0.3"]);
        assert_eq!((accepted.brotli, accepted.gzip), (Some(100), Some(300)));
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic_and_in_range(line in "\\PC{0,80}") {
            let Accepted { brotli, gzip, identity } = Accepted::parse([line.as_str()]);
            for weight in [brotli, gzip, identity].into_iter().flatten() {
                prop_assert!(weight <= 1000);
            }
            prop_assert_ne!(brotli, Some(0));
            prop_assert_ne!(gzip, Some(0));
        }

        #[test]
        fn a_written_weight_is_read_back(
            weight in 0u16..=1000,
            order in any::<bool>(),
            spaces in " {0,2}",
        ) {
            let br = format!("br{spaces};{spaces}q={}.{:03}", weight / 1000, weight % 1000);
            let line = if order { format!("zstd,{br}") } else { format!("{br}{spaces},zstd") };
            prop_assert_eq!(read(&line).0, Some(weight).filter(|&weight| weight > 0));
        }
    }
}
