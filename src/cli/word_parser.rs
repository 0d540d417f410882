//! Arguments that are one word of a closed set: a pattern, a muscle, a region.

use std::str::FromStr;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use strum::IntoEnumIterator;

/// Parses a word of the set, with hyphens or as files write it. The error for a wrong word lists the right ones.
pub(crate) fn word_parser<T>() -> impl TypedValueParser<Value = T>
where
    T: IntoEnumIterator + Into<&'static str> + FromStr<Err = strum::ParseError> + Clone + Send + Sync + 'static,
{
    let values = T::iter().map(|word| {
        let written: &'static str = word.into();
        PossibleValue::new(written.replace('_', "-")).alias(written)
    });
    PossibleValuesParser::new(values).try_map(|typed| typed.replace('-', "_").parse::<T>())
}
