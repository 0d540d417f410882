//! The coach's text, made safe for a voice.
//!
//! A text comes from a file that anybody may have written. A voice must not read it as markup or as commands, and must
//! not get so much text that it speaks for minutes.

/// The most letters of one text that are spoken. A digit counts as several letters, because numbers become words.
pub const LONGEST: usize = 300;

/// The most digits that are spoken as one number. A longer run is split into groups: nobody says it as one number, and
/// some voices would speak for a very long time.
const DIGITS: usize = 6;

/// The most letters of one word, more than any real word has. A longer word is split, because the embedded voice never
/// finishes a word that is much longer.
const WORD: usize = 40;

/// How many letters one digit counts for: "999999" takes as long to say as eight words.
const DIGIT: usize = 8;

/// The text without control characters, with single spaces, cut after a whole word to at most [`LONGEST`] letters.
pub fn plain(text: &str) -> String {
    let mut plain = String::new();
    let (mut letters, mut digits, mut word) = (0, 0, 0);
    for letter in text.chars() {
        let letter = if letter.is_control() || letter.is_whitespace() { ' ' } else { letter };
        if is_invisible(letter) || (letter == ' ' && (plain.is_empty() || plain.ends_with(' '))) {
            continue;
        }
        digits = if letter.is_ascii_digit() { digits + 1 } else { 0 };
        word = if letter == ' ' { 0 } else { word + 1 };
        let parts = digits > DIGITS || word > WORD;
        if letters + usize::from(parts) >= LONGEST {
            if letter != ' '
                && let Some(space) = plain.rfind(' ')
            {
                plain.truncate(space);
            }
            break;
        }
        if parts {
            plain.push(' ');
            (letters, digits, word) = (letters + 1, digits.min(1), 1);
        }
        plain.push(letter);
        letters += if letter.is_ascii_digit() { DIGIT } else { 1 };
    }
    plain.truncate(plain.trim_end().len());
    plain
}

/// As [`plain`], in ASCII: accents are dropped, typographic marks become plain ones, everything else becomes a space.
pub fn ascii(text: &str) -> String {
    let mut folded = String::new();
    for letter in text.chars() {
        match letter {
            _ if letter.is_ascii() => folded.push(letter),
            _ => folded.push_str(to_ascii(letter)),
        }
    }
    plain(&folded)
}

/// As [`ascii`], with the characters that have a meaning in markup replaced by words or spaces.
pub fn markup(text: &str) -> String {
    let mut safe = String::new();
    for letter in ascii(text).chars() {
        match letter {
            '&' => safe.push_str(" and "),
            '<' => safe.push_str(" less than "),
            '>' => safe.push_str(" more than "),
            '\\' | '"' => safe.push(' '),
            _ => safe.push(letter),
        }
    }
    plain(&safe)
}

/// As [`plain`], without square brackets: some voices read double brackets as phonemes or commands.
pub fn unbracketed(text: &str) -> String {
    plain(&text.replace(['[', ']'], " "))
}

/// Whether the text has a letter or a digit in it.
pub fn is_sayable(text: &str) -> bool {
    text.chars().any(char::is_alphanumeric)
}

/// Whether a character has no width or changes the direction of writing.
fn is_invisible(letter: char) -> bool {
    matches!(letter, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
        | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}')
}

/// The nearest ASCII text for a character; a space where there is none.
fn to_ascii(letter: char) -> &'static str {
    match letter {
        'à'..='å' | 'ā' | 'ă' | 'ą' => "a",
        'À'..='Å' | 'Ā' | 'Ă' | 'Ą' => "A",
        'æ' => "ae",
        'Æ' => "Ae",
        'ç' | 'ć' | 'ĉ' | 'ċ' | 'č' => "c",
        'Ç' | 'Ć' | 'Ĉ' | 'Ċ' | 'Č' => "C",
        'ð' | 'ď' | 'đ' => "d",
        'Ð' | 'Ď' | 'Đ' => "D",
        'è'..='ë' | 'ē' | 'ĕ' | 'ė' | 'ę' | 'ě' => "e",
        'È'..='Ë' | 'Ē' | 'Ĕ' | 'Ė' | 'Ę' | 'Ě' => "E",
        'ğ' | 'ĝ' | 'ġ' | 'ģ' => "g",
        'Ğ' | 'Ĝ' | 'Ġ' | 'Ģ' => "G",
        'ì'..='ï' | 'ī' | 'į' | 'ı' => "i",
        'Ì'..='Ï' | 'Ī' | 'Į' | 'İ' => "I",
        'ł' | 'ľ' | 'ļ' => "l",
        'Ł' | 'Ľ' | 'Ļ' => "L",
        'ñ' | 'ń' | 'ň' | 'ņ' => "n",
        'Ñ' | 'Ń' | 'Ň' | 'Ņ' => "N",
        'ò'..='ö' | 'ø' | 'ō' | 'ő' => "o",
        'Ò'..='Ö' | 'Ø' | 'Ō' | 'Ő' => "O",
        'œ' => "oe",
        'Œ' => "Oe",
        'ř' | 'ŕ' => "r",
        'Ř' | 'Ŕ' => "R",
        'ś' | 'ş' | 'š' | 'ș' => "s",
        'Ś' | 'Ş' | 'Š' | 'Ș' => "S",
        'ß' => "ss",
        'ţ' | 'ť' | 'ț' => "t",
        'Ţ' | 'Ť' | 'Ț' => "T",
        'þ' => "th",
        'Þ' => "Th",
        'ù'..='ü' | 'ū' | 'ů' | 'ű' | 'ų' => "u",
        'Ù'..='Ü' | 'Ū' | 'Ů' | 'Ű' | 'Ų' => "U",
        'ý' | 'ÿ' => "y",
        'Ý' => "Y",
        'ź' | 'ż' | 'ž' => "z",
        'Ź' | 'Ż' | 'Ž' => "Z",
        '‘' | '’' | '′' => "'",
        '“' | '”' | '„' | '«' | '»' => "\"",
        '–' | '—' | '−' => " - ",
        '…' => "... ",
        '·' | '•' | '→' | '←' => ", ",
        '×' => " times ",
        '÷' => " divided by ",
        '½' => " and a half",
        '¼' => " and a quarter",
        '¾' => " and three quarters",
        '°' => " degrees",
        '£' => " pounds ",
        '€' => " euros ",
        _ => " ",
    }
}
