//! The table of kernels, and the texts of `shaders/` joined: what a shader shares first, then the shader. The program and the
//! tests use the same texts.
//!
//! A kernel is a file in `shaders/` and a line in [`kernels!`]; the tests of [`super::layout`] take them all from there.

macro_rules! shader {
    ($($path:literal),+) => {
        include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../shaders/", $($path),+))
    };
}

const AMOUNT: &str = shader!("common/amount.wgsl");
const TILE: &str = shader!("common/tile.wgsl");
const PARAMS: &str = shader!("common/params.wgsl");
const PAINTS: &str = shader!("common/paints.wgsl");
const COMMITS: &str = shader!("common/commits.wgsl");
const BANKS_READ: &str = shader!("common/banks_read.wgsl");
const STACK: &str = shader!("common/stack.wgsl");
const SRGB: &str = shader!("common/srgb.wgsl");
const MIXING: &str = shader!("common/mixing.wgsl");
const PIGMENT: &str = shader!("common/pigment.wgsl");
const GAMUT: &str = shader!("common/gamut.wgsl");

/// What a kernel does with the planes that lie in the banks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Planes {
    /// It knows none: it goes from a buffer to a texture that is drawn.
    Unbound,
    /// It reads planes only; what it gives goes to a buffer of its own.
    Read,
    /// It reads some and writes others.
    Written,
}

/// Whether a kernel reads the table of paints.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Paints {
    /// It knows paints by their ids alone.
    Unread,
    /// It reads a record for each paint.
    Read,
}

macro_rules! kernels {
    ($($(#[$doc:meta])* $kernel:ident: $name:literal, [$($part:expr),*], $planes:expr, $paints:expr;)+) => {
        /// A compute kernel.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum Kernel {
            $($(#[$doc])* $kernel,)+
        }

        impl Kernel {
            /// All of them.
            pub const ALL: [Kernel; [$($name),+].len()] = [$(Kernel::$kernel),+];

            /// What its file, its entry point and its label are called.
            pub const fn name(self) -> &'static str {
                match self { $(Kernel::$kernel => $name,)+ }
            }

            /// What it does with planes.
            pub const fn planes(self) -> Planes {
                match self { $(Kernel::$kernel => $planes,)+ }
            }

            /// What it does with the table of paints.
            pub const fn paints(self) -> Paints {
                match self { $(Kernel::$kernel => $paints,)+ }
            }

            /// Its whole text in WGSL.
            pub fn text(self) -> String {
                let parts: &[&str] = match self {
                    $(Kernel::$kernel => &[AMOUNT, TILE, PARAMS, $($part,)* shader!($name, ".wgsl")],)+
                };
                parts.concat()
            }
        }
    };
}

kernels! {
    /// Lays or scrapes through masks.
    Commit: "commit", [PAINTS, COMMITS], Planes::Written, Paints::Read;
    /// Lays mixtures through masks.
    Mixture: "mixture", [PAINTS, COMMITS], Planes::Written, Paints::Read;
    /// From visible amounts to colour.
    Resolve: "resolve", [PAINTS, BANKS_READ, STACK, SRGB, MIXING, GAMUT], Planes::Read, Paints::Read;
    /// From visible amounts to colour, in the pigment model.
    ResolvePigment: "resolve_pigment", [PAINTS, BANKS_READ, STACK, SRGB, MIXING, GAMUT, PIGMENT], Planes::Read, Paints::Read;
    /// From visible amounts to the share of some paints.
    Coverage: "coverage", [PAINTS, BANKS_READ, STACK], Planes::Read, Paints::Read;
    /// From colours or shares to the texture that is drawn.
    Reduce: "reduce", [SRGB], Planes::Unbound, Paints::Unread;
    /// Sums visible amounts by paint.
    Tally: "tally", [PAINTS, BANKS_READ, STACK], Planes::Read, Paints::Unread;
}

/// `shaders/show.wgsl` with what it shares: vertex and fragment shaders that draw the canvas in a window.
pub fn show() -> String {
    [SRGB, shader!("show.wgsl")].concat()
}

/// `shaders/display.wgsl`: vertex and fragment shader that bring the picture of the window into the colours of the display.
pub fn display() -> String {
    shader!("display.wgsl").to_owned()
}

#[cfg(test)]
mod tests {
    use super::{Kernel, display, show};

    /// The tokens of a text without comments: words and numbers, operators, single signs.
    fn tokens(text: &str) -> Vec<String> {
        let lines: Vec<&str> = text.lines().map(|line| line.split("//").next().unwrap_or_default()).collect();
        let signs: Vec<char> = lines.join("\n").chars().collect();
        let mut tokens = Vec::new();
        let mut i = 0;
        let is_word = |c: char| c.is_alphanumeric() || c == '_' || c == '.' || c == '@';
        while i < signs.len() {
            let two: String = signs[i..].iter().take(2).collect();
            let pairs = ["<<", ">>", "&&", "||", "==", "!=", "<=", ">=", "+=", "-=", "*=", "/=", "++", "--", "->"];
            if signs[i].is_whitespace() {
                i += 1;
            } else if is_word(signs[i]) {
                let start = i;
                while i < signs.len() && is_word(signs[i]) {
                    i += 1;
                }
                tokens.push(signs[start..i].iter().collect());
            } else if pairs.contains(&&two[..]) {
                tokens.push(two);
                i += 2;
            } else {
                tokens.push(signs[i].to_string());
                i += 1;
            }
        }
        tokens
    }

    /// Expressions that mix operators which WGSL lets nobody mix without parentheses (WGSL, 8.19, "Operator Precedence and
    /// Associativity"): shifts take unary operands alone, `&`, `|` and `^` only themselves.
    fn mixed(text: &str) -> Vec<String> {
        // Operators of the expression at each depth of brackets, and its tokens for the report.
        let mut open: Vec<(Vec<String>, Vec<String>)> = vec![Default::default()];
        let mut found = Vec::new();
        let mut before = String::new();
        for token in tokens(text) {
            let ends_here = matches!(&token[..], ")" | "]" | "}" | "," | ";" | "{" | ":" | "return" | "=")
                || ["==", "!=", "<", ">", "<=", ">=", "&&", "||", "+=", "-=", "*=", "/="].contains(&&token[..]);
            if ends_here && let Some((operators, words)) = open.last_mut() {
                let shifts = operators.iter().filter(|o| matches!(&o[..], "<<" | ">>")).count();
                let bits = operators.iter().filter(|o| matches!(&o[..], "&" | "|" | "^")).count();
                let first_bit = operators.iter().find(|o| matches!(&o[..], "&" | "|" | "^"));
                let same = operators.iter().all(|o| Some(o) == first_bit);
                if shifts > 0 && operators.len() > 1 || bits > 0 && !same {
                    found.push(words.join(" "));
                }
                operators.clear();
                words.clear();
            }
            let binary = before.ends_with(|c: char| c.is_alphanumeric() || matches!(c, '_' | ')' | ']' | '.'));
            match &token[..] {
                "(" | "[" => open.push(Default::default()),
                ")" | "]" => drop(open.pop()),
                "+" | "-" | "*" | "/" | "%" | "<<" | ">>" | "&" | "|" | "^" if binary => {
                    if let Some((operators, _)) = open.last_mut() {
                        operators.push(token.clone());
                    }
                }
                _ => {}
            }
            if let Some((_, words)) = open.last_mut() {
                words.push(token.clone());
            }
            before = token;
        }
        found
    }

    #[test]
    fn mixed_operators_are_seen() {
        for good in ["let a = (b & c) | (d << 2u);", "x = f(a + b, c) & d & e;", "if a >> 2u == b && c < d { }"] {
            assert_eq!(mixed(good), [""; 0], "{good}");
        }
        for bad in ["let a = b & c | d;", "let a = b << 2u | c;", "x = f(a + b & c);", "x = a + b << 2u;"] {
            assert_eq!(mixed(bad).len(), 1, "{bad}");
        }
    }

    /// The parser that the desktop uses takes what those of browsers refuse.
    #[test]
    fn no_shader_mixes_operators_that_browsers_want_parted() {
        let kernels = Kernel::ALL.map(|kernel| (kernel.name(), kernel.text()));
        for (name, text) in kernels.into_iter().chain([("show", show()), ("display", display())]) {
            assert_eq!(mixed(&text), [""; 0], "{name}");
        }
    }
}
