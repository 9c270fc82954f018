//! Finds inline scripts in a built page. The content policy forbids them, and a
//! page whose start-up script is forbidden stays blank without saying why: so the
//! relay looks before it serves. Pure.

/// The line, from 1, of the first `<script>` without `src` that has a body other
/// than white space; `None` when the page has none.
///
/// Comments are skipped as a browser skips them. A script inside `<template>` or
/// `<textarea>` counts too: a false alarm there is better than a blank page.
pub fn inline_script(html: &str) -> Option<usize> {
    let mut at = 0;
    while let Some(found) = html[at..].find('<') {
        let open = at + found;
        let rest = &html[open..];
        if rest.starts_with("<!--") {
            at = open + comment_length(rest);
        } else if names_tag(&rest[1..], "script") {
            let (has_src, tag_length) = read_attributes(&rest["<script".len()..]);
            let body_start = open + "<script".len() + tag_length;
            let body_length = body_length(&html[body_start..]);
            if !has_src && !html[body_start..body_start + body_length].trim().is_empty() {
                return Some(html[..open].matches('\n').count() + 1);
            }
            at = body_start + body_length;
        } else {
            at = open + 1;
        }
    }
    None
}

/// Whether `text`, which follows a `<` or `</`, begins with the tag name `name`.
fn names_tag(text: &str, name: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.len() >= name.len()
        && bytes[..name.len()].eq_ignore_ascii_case(name.as_bytes())
        && bytes
            .get(name.len())
            .is_none_or(|&next| next.is_ascii_whitespace() || matches!(next, b'/' | b'>'))
}

/// The length in bytes of the comment that `text` begins with. `<!-->` and
/// `<!--->` are whole comments, and `--!>` ends one too.
fn comment_length(text: &str) -> usize {
    let inner = &text["<!--".len()..];
    for abrupt in [">", "->"] {
        if inner.starts_with(abrupt) {
            return "<!--".len() + abrupt.len();
        }
    }
    ["-->", "--!>"]
        .iter()
        .filter_map(|end| inner.find(end).map(|at| at + end.len()))
        .min()
        .map_or(text.len(), |length| "<!--".len() + length)
}

/// Reads the attributes of a tag up to its `>`: whether one is `src`, and the
/// length in bytes, `>` included.
fn read_attributes(text: &str) -> (bool, usize) {
    let bytes = text.as_bytes();
    let is_gap = |byte: u8| byte.is_ascii_whitespace() || byte == b'/';
    let (mut at, mut has_src) = (0, false);
    while at < bytes.len() {
        match bytes[at] {
            b'>' => return (has_src, at + 1),
            byte if is_gap(byte) => at += 1,
            _ => {
                // An equals sign at the start of a name belongs to the name.
                let start = at;
                at += 1;
                while at < bytes.len() && !is_gap(bytes[at]) && !matches!(bytes[at], b'=' | b'>') {
                    at += 1;
                }
                has_src |= bytes[start..at].eq_ignore_ascii_case(b"src");
                at += value_length(&bytes[at..]);
            }
        }
    }
    (has_src, bytes.len())
}

/// The length in bytes of `= value` that follows an attribute's name; 0 where
/// the attribute has no value.
fn value_length(bytes: &[u8]) -> usize {
    let skip_space = |mut at: usize| {
        while bytes.get(at).is_some_and(u8::is_ascii_whitespace) {
            at += 1;
        }
        at
    };
    let equals = skip_space(0);
    if bytes.get(equals) != Some(&b'=') {
        return 0;
    }
    let start = skip_space(equals + 1);
    let end_at = |from: usize, ends: &dyn Fn(u8) -> bool| {
        bytes[from..]
            .iter()
            .position(|&byte| ends(byte))
            .map(|length| from + length)
    };
    match bytes.get(start) {
        Some(&quote @ (b'"' | b'\'')) => {
            end_at(start + 1, &|byte| byte == quote).map_or(bytes.len(), |end| end + 1)
        }
        Some(_) => {
            end_at(start, &|byte| byte.is_ascii_whitespace() || byte == b'>').unwrap_or(bytes.len())
        }
        None => bytes.len(),
    }
}

/// The length in bytes of a script's body, up to its end tag or the end of the page.
fn body_length(text: &str) -> usize {
    text.match_indices("</")
        .map(|(at, _)| at)
        .find(|&at| names_tag(&text[at + 2..], "script"))
        .unwrap_or(text.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_page_whose_scripts_are_files_passes() {
        for page in [
            "<!doctype html><script src=/start.js></script>",
            "<script type=module src='/a.js'></script><script\nSRC = \"/b.js\" >\n </script>",
            "<script defer src=/a.js>ignored by browsers</script>",
            "<script></script><script>\n\t</script>",
            "<!-- <script>old()</script> --><p>",
            "<scripture>not a script</scripture>",
            "<!--><!---><p><",
            "",
        ] {
            assert_eq!(inline_script(page), None, "{page}");
        }
    }

    #[test]
    fn an_inline_script_is_found_with_its_line() {
        for (page, line) in [
            ("<script>go()</script>", 1),
            ("<html>\n<head>\n<SCRIPT type=module>go()</SCRIPT>", 3),
            ("<script data-src='/a.js'>go()</script>", 1),
            ("<script data-x='>' nonce=a>go()</script>", 1),
            ("<script data-x='src=/a.js'>go()</script>", 1),
            ("<script/>go()</script>", 1),
            ("<script>never ended", 1),
            ("<script src=/a.js></script>\n<script>go()</script>", 2),
            ("<!--><script>go()</script>", 1),
            ("<!-- a --!>\n<script>go()</script>", 2),
            ("<script>var a = '</scripts>'</script>", 1),
            ("<script type=importmap>{}</script>", 1),
        ] {
            assert_eq!(inline_script(page), Some(line), "{page}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_without_a_panic(
            page in "(<script|</script|>|<!--|-->|[ ='\"/a\\n]|src|é|<){0,30}"
        ) {
            inline_script(&page);
        }

        #[test]
        fn an_inline_script_is_found_behind_any_plain_text(before in "[a-z é\\n]{0,40}") {
            let line = before.matches('\n').count() + 1;
            prop_assert_eq!(inline_script(&format!("{before}<script>x</script>")), Some(line));
        }
    }
}
