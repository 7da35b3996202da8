//! The custom properties of a style sheet, wherever they stand in it.

use super::ExchangeError;
use cssparser::{
    AtRuleParser, CowRcStr, DeclarationParser, ParseError, Parser, ParserState, QualifiedRuleParser,
    RuleBodyItemParser, RuleBodyParser, Token,
};

/// One custom property as it stands in the text.
#[derive(Debug)]
pub(super) struct Declaration<'i> {
    /// Its name without the two dashes, escapes resolved.
    pub name: String,
    /// Its value, without blanks and comments around it and without `!important`.
    pub value: &'i str,
    /// Its line, counted from 1.
    pub line: usize,
    /// Which block it stands in; 0 outside of all.
    pub block: usize,
}

/// All custom properties in order. A list of declarations without a rule around them is read too; everything else in the
/// text is passed over, as CSS asks of whoever does not know it.
///
/// # Errors
/// When a block is not closed: the text has lost its end.
pub(super) fn declarations(text: &str) -> Result<Vec<Declaration<'_>>, ExchangeError> {
    let mut collector = Collector { text, found: Vec::new(), block: 0, blocks: 0, unclosed: None };
    collector.body(&mut Parser::new(text));
    match collector.unclosed {
        None => Ok(collector.found),
        Some(line) => {
            let what =
                "the block that begins here has no end; copy the whole file again, or close it with }".to_owned();
            Err(ExchangeError::Line { line, what })
        }
    }
}

/// Gathers the custom properties while `cssparser` calls it.
struct Collector<'i> {
    text: &'i str,
    found: Vec<Declaration<'i>>,
    /// The block that is being read, and how many there were so far.
    block: usize,
    blocks: usize,
    /// Line of the first block without an end.
    unclosed: Option<usize>,
}

type Parsed<T> = Result<T, ParseError<()>>;

fn line_of(start: &ParserState) -> usize {
    start.source_location().line as usize + 1
}

impl<'i> Collector<'i> {
    fn body(&mut self, input: &mut Parser<'i>) {
        // What is wrong to the parser is somebody else's syntax.
        for _ in RuleBodyParser::new(input, self) {}
    }

    fn block(&mut self, start: &ParserState, input: &mut Parser<'i>) {
        let outer = self.block;
        self.blocks += 1;
        self.block = self.blocks;
        self.body(input);
        self.block = outer;
        if self.text.as_bytes().get(input.position().byte_index()) != Some(&b'}') {
            self.unclosed = Some(line_of(start));
        }
    }
}

impl<'i> DeclarationParser<'i> for Collector<'i> {
    type Declaration = ();
    type Error = ();

    fn parse_value(&mut self, name: CowRcStr<'i>, input: &mut Parser<'i>, start: &ParserState) -> Parsed<()> {
        let Some(name) = name.strip_prefix("--") else {
            // `a:hover {` looks like a declaration until its block.
            while let Ok(token) = input.next() {
                if matches!(token, Token::CurlyBracketBlock) {
                    return Err(ParseError::unexpected_token());
                }
            }
            return Ok(());
        };
        input.skip_whitespace();
        let (first, mut last) = (input.position(), input.position());
        while let Ok(token) = input.next_including_whitespace_and_comments().cloned() {
            match token {
                Token::WhiteSpace(_) | Token::Comment(_) => continue,
                Token::Function(_) | Token::ParenthesisBlock | Token::SquareBracketBlock | Token::CurlyBracketBlock => {
                    // Too many levels for the parser are no colour either.
                    let _ = input.parse_nested_block(skip);
                }
                Token::Delim('!') if input.try_parse(only_important).is_ok() => break,
                _ => {}
            }
            last = input.position();
        }
        let value = input.slice(first..last);
        self.found.push(Declaration { name: name.to_owned(), value, line: line_of(start), block: self.block });
        Ok(())
    }
}

/// The rest of `!important` and nothing behind it.
fn only_important(input: &mut Parser<'_>) -> Parsed<()> {
    input.expect_ident_matching("important")?;
    Ok(input.expect_exhausted()?)
}

fn skip(input: &mut Parser<'_>) -> Parsed<()> {
    while input.next().is_ok() {}
    Ok(())
}

impl<'i> QualifiedRuleParser<'i> for Collector<'i> {
    type Prelude = ();
    type QualifiedRule = ();
    type Error = ();

    fn parse_prelude(&mut self, input: &mut Parser<'i>) -> Parsed<()> {
        skip(input)
    }

    fn parse_block(&mut self, (): (), start: &ParserState, input: &mut Parser<'i>) -> Parsed<()> {
        self.block(start, input);
        Ok(())
    }
}

impl<'i> AtRuleParser<'i> for Collector<'i> {
    type Prelude = ();
    type AtRule = ();
    type Error = ();

    fn parse_prelude(&mut self, _name: CowRcStr<'i>, input: &mut Parser<'i>) -> Parsed<()> {
        skip(input)
    }

    fn rule_without_block(&mut self, (): (), _start: &ParserState) -> Result<(), ()> {
        Ok(())
    }

    fn parse_block(&mut self, (): (), start: &ParserState, input: &mut Parser<'i>) -> Parsed<()> {
        self.block(start, input);
        Ok(())
    }
}

impl<'i> RuleBodyItemParser<'i, (), ()> for Collector<'i> {
    fn parse_declarations(&self) -> bool {
        true
    }

    fn parse_qualified(&self) -> bool {
        true
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn custom_properties_are_found_everywhere() {
        let text = "@charset \"utf-8\";\n--top: 1;\n:root{--a:/* x */ b /* y */ ; color: red}\n@media (x) { a:hover > b {\n \
                    --\\43 afé : c(d;e) /* z */ ! IMPORTANT ; c { --e: {f;} } } }\n@import 'x';\n--last:g";
        let found = declarations(text).unwrap();
        let found: Vec<_> = found.iter().map(|d| (d.name.as_str(), d.value, d.line, d.block)).collect();
        assert_eq!(
            found,
            [("top", "1", 2, 0), ("a", "b", 3, 1), ("Café", "c(d;e)", 5, 3), ("e", "{f;}", 5, 4), ("last", "g", 7, 0),]
        );
    }

    #[test]
    fn a_lost_end_is_told_with_the_line_of_the_block() {
        for text in ["a {\n--x: red", "b{}\na { --x: red; --y: \"x", "\na { --x: rgb(1,2", "b{}\na { /* --x: } "] {
            let line = if text.starts_with("a {") { 1 } else { 2 };
            let error = declarations(text).unwrap_err();
            assert!(matches!(error, ExchangeError::Line { line: l, .. } if l == line), "{text}: {error}");
        }
    }

    #[test]
    fn deep_nesting_ends() {
        let deep = "a{".repeat(100_000) + &"}".repeat(100_000);
        let _ = declarations(&deep);
        let _ = declarations(&"a:b{".repeat(100_000));
        let _ = declarations(&format!("--x: {}", "(".repeat(100_000)));
    }
}
