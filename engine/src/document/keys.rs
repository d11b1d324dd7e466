//! The one table of keys. Unknown-key errors, the nearest known name, and every page that lists keys come from it.

/// A part of a file that has keys of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Section {
    /// The top of a stack document.
    Document,
    /// One entry of `instruments`.
    Instrument,
    /// The top of a file of instruments.
    InstrumentFile,
    /// A reading with feeler blades.
    Felt,
    /// One entry of `dimensions`.
    Dimension,
    /// `distribution` as a map.
    Distribution,
    /// The figures of a triangular distribution.
    Triangular,
    /// The figures of a trapezoidal distribution.
    Trapezoidal,
    /// The figures of a truncated normal distribution.
    TruncatedNormal,
    /// The figures of a beta distribution.
    Beta,
    /// The figures of a Student t distribution.
    StudentT,
    /// `observed` as a map.
    Observed,
    /// One of the list of `mixture`.
    MixtureCase,
    /// One entry of `gaps`.
    Gap,
    /// `found` as a map.
    Found,
    /// One entry of `packs`.
    Pack,
    /// One shim of `fitted` as a map.
    Fitted,
    /// A pack that is an adjusting screw.
    Screw,
    /// A pack that is made to size.
    Made,
    /// One entry of `kits`.
    Kit,
    /// A kit's sizes as a range.
    SizeRange,
    /// The top of a preset.
    Preset,
    /// What a preset writes once for each station.
    Each,
    /// One entry of a preset's `inputs`.
    Input,
    /// One entry of a preset's `examples`.
    Example,
    /// A gap's entry in an example's `expect`.
    Expected,
}

impl Section {
    /// What a message calls it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Section::Document => "a stack document",
            Section::Instrument => "an instrument",
            Section::InstrumentFile => "a file of instruments",
            Section::Felt => "a feeler's reading",
            Section::Dimension => "a dimension",
            Section::Distribution => "a distribution",
            Section::Triangular => "a triangular distribution",
            Section::Trapezoidal => "a trapezoidal distribution",
            Section::TruncatedNormal => "a truncated normal distribution",
            Section::Beta => "a beta distribution",
            Section::StudentT => "a Student t distribution",
            Section::Observed => "a list of observed values",
            Section::MixtureCase => "a case of a mixture",
            Section::Gap => "a gap",
            Section::Found => "a found gap",
            Section::Pack => "a pack",
            Section::Fitted => "a fitted shim",
            Section::Screw => "a screw",
            Section::Made => "a pack made to size",
            Section::Kit => "a kit",
            Section::SizeRange => "a range of sizes",
            Section::Preset => "a preset",
            Section::Each => "what is written for each station",
            Section::Input => "an input",
            Section::Example => "an example",
            Section::Expected => "an expected gap",
        }
    }
}

/// The form that a key's value has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Any text.
    Text,
    /// A length: a number with or without a unit.
    Length,
    /// A number without a unit.
    Number,
    /// `true` or `false`.
    Flag,
    /// One of a few words.
    Word(&'static [&'static str]),
    /// A linear expression.
    Expression,
    /// The name of something in the document.
    Name,
    /// What the sentence says; several forms are taken.
    Mixed,
    /// A map of named entries, each a section.
    Entries(Section),
    /// A list of texts.
    Texts,
}

/// A key: where it may stand, its form, and a sentence on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    /// Where it may stand.
    pub section: Section,
    /// The key.
    pub name: &'static str,
    /// The form of its value.
    pub form: Form,
    /// What it means.
    pub sentence: &'static str,
}

/// The keys of a section, in the order of the table.
pub fn of(section: Section) -> impl Iterator<Item = &'static Key> {
    KEYS.iter().filter(move |key| key.section == section)
}

const fn key(section: Section, name: &'static str, form: Form, sentence: &'static str) -> Key {
    Key { section, name, form, sentence }
}

/// The words of `unit`.
pub const UNITS: &[&str] = &["mm", "in", "thou", "um"];
/// The words of `distribution`; with figures it is a map, of [`Section::Distribution`].
pub const DISTRIBUTIONS: &[&str] = &["normal", "rectangular", "triangular", "arcsine"];
/// The words of `use`.
pub const USES: &[&str] = &["mean", "least", "most", "middle"];
/// The words of `as`.
pub const SENSES: &[&str] = &["play", "preload"];
/// The words of `lean`.
pub const LEANS: &[&str] = &["nearest", "looser", "tighter", "more", "less", "thickest that enters"];
/// The words of an input's `takes`.
pub const TAKES: &[&str] = &["readings", "length", "limits", "count", "kit", "shims", "choice", "stations"];
/// The verdicts.
pub const VERDICTS: &[&str] = &["in", "out", "cannot tell", "some will"];

/// Every key of stack, kit and preset files.
pub const KEYS: &[Key] = {
    use Form::*;
    use Section::*;
    &[
        key(Document, "title", Text, "What the stack is."),
        key(Document, "unit", Word(UNITS), "The unit of numbers that carry none; mm where it is not given."),
        key(
            Document,
            "temperature",
            Number,
            "The temperature of parts and instruments when they were read, in °C; 20 where it is not given.",
        ),
        key(
            Document,
            "instruments",
            Entries(Instrument),
            "Instruments of this document; a name that is shipped too is replaced by it.",
        ),
        key(Document, "dimensions", Entries(Dimension), "The parts' dimensions."),
        key(Document, "gaps", Entries(Gap), "The gaps, each a chain of dimensions and packs."),
        key(Document, "packs", Entries(Pack), "The packs of shims."),
        key(Document, "kits", Entries(Kit), "The shims that there are."),
        key(
            Document,
            "correlations",
            Mixed,
            "Dimensions whose deviations go together in production, each as [one, other, factor]; the factor is from -1 to 1.",
        ),
        key(Document, "note", Text, "A remark; shown, never used."),
        key(Document, "cautions", Texts, "Cautions that are shown with the answer."),
        key(Document, "fitting", Texts, "The order of assembly, shown with the answer."),
        key(
            Instrument,
            "limit_of_error",
            Length,
            "The largest error of a reading that is not its zero: a rectangular half-width.",
        ),
        key(
            Instrument,
            "zero_error",
            Length,
            "The largest error of the zero, shared by all readings: a rectangular half-width.",
        ),
        key(Instrument, "repeatability", Length, "The standard deviation of one reading."),
        key(Instrument, "resolution", Length, "The digital step; counts only where no limit of error is given."),
        key(
            Instrument,
            "stack_error",
            Length,
            "How much thicker than its mark each blade of a stack may read, oil and air with it: one way only, the same for \
             all; the limit of error where it is not given.",
        ),
        key(
            Instrument,
            "difference",
            Flag,
            "Whether a reading is a difference already, so that the zero does not count.",
        ),
        key(
            Instrument,
            "unit",
            Word(UNITS),
            "The unit of bare numbers in this instrument and of bare readings made with it.",
        ),
        key(
            Instrument,
            "expansion",
            Mixed,
            "What it grows by in 1e-6 per kelvin, or its material's name; steel where it is not given.",
        ),
        key(Instrument, "source", Text, "Where the figures come from."),
        key(Instrument, "note", Text, "A remark; shown, never used."),
        key(InstrumentFile, "unit", Word(UNITS), "The unit of numbers that carry none; mm where it is not given."),
        key(InstrumentFile, "instruments", Entries(Instrument), "The instruments of the shop."),
        key(InstrumentFile, "note", Text, "A remark; shown, never used."),
        key(Felt, "goes", Mixed, "The blade that goes in, or the list of a stack; 0 where none does."),
        key(Felt, "stops", Mixed, "The next blade, or stack, that does not go in."),
        key(Felt, "blades", Mixed, "A stack of blades that fills the gap, in place of the other two."),
        key(Dimension, "size", Length, "The size on the drawing."),
        key(Dimension, "tolerance", Mixed, "A number is plus and minus; a pair is the lower and the upper deviation."),
        key(Dimension, "class", Text, "A tolerance class of ISO 286, such as h9."),
        key(Dimension, "general", Word(&["f", "m", "c", "v"]), "A class of general tolerances of ISO 2768-1."),
        key(Dimension, "sd", Length, "The standard deviation, in place of a tolerance."),
        key(Dimension, "freedom", Number, "The degrees of freedom behind sd, for effective degrees of freedom only."),
        key(Dimension, "limits", Mixed, "The least and the greatest size."),
        key(
            Dimension,
            "readings",
            Mixed,
            "What was read: one value, a list of repeats, or a map of named places; each a length or a feeler's reading.",
        ),
        key(
            Dimension,
            "goes",
            Mixed,
            "In place of readings: the feeler blade, or the stack, that goes in; with stops.",
        ),
        key(Dimension, "stops", Mixed, "In place of readings: the next blade, or stack, that does not go in."),
        key(Dimension, "blades", Mixed, "In place of readings: a stack of feeler blades that fills it."),
        key(Dimension, "instrument", Name, "What it was read with; `none` takes the scatter alone."),
        key(Dimension, "allow_spread", Length, "How much the places of a face may differ."),
        key(
            Dimension,
            "use",
            Word(USES),
            "Which value of the places of a face counts; the mean where it is not given.",
        ),
        key(
            Dimension,
            "distribution",
            Mixed,
            "How production spreads: normal (where it is not given), rectangular, triangular or arcsine, or the name of one \
             with its figures.",
        ),
        key(
            Dimension,
            "sigma_level",
            Number,
            "How many standard deviations the limits are from the middle; 3 where it is not given.",
        ),
        key(
            Dimension,
            "cpk",
            Number,
            "In place of sigma_level: the Cpk of production against the limits; normal only.",
        ),
        key(
            Dimension,
            "shift",
            Length,
            "How far the mean of production is above the middle of the limits, below it where negative; normal only.",
        ),
        key(Dimension, "span", Length, "In place of a size: a length of which the growth alone counts."),
        key(Dimension, "material", Name, "What it is made of: steel, aluminium and others; says what it grows by."),
        key(Dimension, "expansion", Number, "What it grows by, in 1e-6 per kelvin, in place of `material`."),
        key(
            Dimension,
            "temperature",
            Number,
            "The part's own temperature when it was read, in °C; the document's where it is not given.",
        ),
        key(Dimension, "source", Text, "Where the figures come from."),
        key(Dimension, "note", Text, "A remark; shown, never used."),
        key(Distribution, "triangular", Mixed, "Between the limits, its peak at `mode`."),
        key(Distribution, "trapezoidal", Mixed, "Between the limits, level between the ends of `top`."),
        key(Distribution, "truncated normal", Mixed, "Normal with `mean` and `sd`, all beyond the limits sorted out."),
        key(Distribution, "beta", Mixed, "Between the limits, leaning as `a` and `b` say."),
        key(Distribution, "student t", Mixed, "About `mean` with `scale` and `freedom`; it stands without limits."),
        key(Distribution, "discrete", Mixed, "Single values, each with its weight; it stands without limits."),
        key(
            Distribution,
            "observed",
            Mixed,
            "Values as they were observed, each as likely as the others: a list, or a column of a file; it stands without \
             limits.",
        ),
        key(
            Distribution,
            "mixture",
            Mixed,
            "One of several drawings, each with its weight: a list, such as never cut, cut once, cut twice; it stands \
             without limits.",
        ),
        key(Triangular, "mode", Length, "The commonest size."),
        key(Trapezoidal, "top", Mixed, "The ends of the sizes that are equally common."),
        key(TruncatedNormal, "mean", Length, "The mean before anything was sorted out."),
        key(TruncatedNormal, "sd", Length, "The standard deviation before anything was sorted out."),
        key(Beta, "a", Number, "From 1 to 100: the density at the lower limit is as the distance to the power a − 1."),
        key(Beta, "b", Number, "From 1 to 100: the same at the upper limit."),
        key(StudentT, "mean", Length, "The middle."),
        key(StudentT, "scale", Length, "The scale: of a mean of n readings, s/√n."),
        key(StudentT, "freedom", Number, "The degrees of freedom."),
        key(
            Observed,
            "file",
            Text,
            "A table, its name relative to this document; columns between commas, or between semicolons with decimal commas.",
        ),
        key(Observed, "column", Text, "The heading of its column; a table of one column needs none."),
        key(
            MixtureCase,
            "weight",
            Number,
            "How often it is this one; above zero, and in proportion to the other weights, so that shares and counts both do.",
        ),
        key(MixtureCase, "size", Length, "The size on its drawing."),
        key(
            MixtureCase,
            "tolerance",
            Mixed,
            "A number is plus and minus (0 is exact); a pair is the lower and the upper deviation.",
        ),
        key(MixtureCase, "class", Text, "A tolerance class of ISO 286, such as h9."),
        key(MixtureCase, "general", Word(&["f", "m", "c", "v"]), "A class of general tolerances of ISO 2768-1."),
        key(MixtureCase, "sd", Length, "The standard deviation, in place of a tolerance."),
        key(MixtureCase, "limits", Mixed, "The least and the greatest size."),
        key(MixtureCase, "distribution", Mixed, "How it spreads; as in a dimension."),
        key(MixtureCase, "sigma_level", Number, "How many standard deviations its limits are from the middle."),
        key(MixtureCase, "cpk", Number, "In place of sigma_level: the Cpk against its limits; normal only."),
        key(MixtureCase, "shift", Length, "How far its mean is above the middle of its limits; normal only."),
        key(MixtureCase, "note", Text, "A remark; shown, never used."),
        key(Gap, "chain", Expression, "The gap as a sum of dimensions, packs and other gaps."),
        key(Gap, "accept", Mixed, "The band: a pair, `at least X` or `at most X`; its ends may be expressions."),
        key(Gap, "target", Expression, "What to aim at; the middle of the band where it is not given."),
        key(Gap, "as", Word(SENSES), "`preload` turns the sign of every figure of the gap."),
        key(
            Gap,
            "at",
            Number,
            "The temperature that the gap is worked at, in °C; what grows in its chain grows. 20 where it is not given.",
        ),
        key(
            Gap,
            "found",
            Mixed,
            "The assembled gap as read, with the fitted shims in: readings, or a map with readings and instrument.",
        ),
        key(Gap, "lean", Word(LEANS), "Which side to prefer between packs that are about as near."),
        key(Gap, "wear_limit", Length, "The limit of wear; shown, never aimed at."),
        key(Gap, "source", Text, "Where the band comes from."),
        key(Gap, "note", Text, "A remark; shown, never used."),
        key(
            Found,
            "readings",
            Mixed,
            "What was read: one value, a list of repeats, or a map of named places; each a length or a feeler's reading.",
        ),
        key(Found, "goes", Mixed, "In place of readings: the feeler blade, or the stack, that goes in; with stops."),
        key(Found, "stops", Mixed, "In place of readings: the next blade, or stack, that does not go in."),
        key(Found, "blades", Mixed, "In place of readings: a stack of feeler blades that fills the gap."),
        key(Found, "instrument", Name, "What it was read with; the shipped indicator where it is not given."),
        key(Found, "allow_spread", Length, "How much the places may differ."),
        key(Found, "use", Word(USES), "Which value of the places counts."),
        key(Pack, "kit", Name, "The kit that the pack is taken from."),
        key(
            Pack,
            "count",
            Mixed,
            "How many shims: a number, or the fewest and the most; [0, 4] where it is not given.",
        ),
        key(Pack, "fitted", Mixed, "The shims that are in now: lengths, or maps with readings."),
        key(Pack, "stay", Mixed, "`all`, or those fitted shims that are not to come out."),
        key(Pack, "includes", Mixed, "Sizes that must be in the pack."),
        key(Pack, "thickest", Length, "The greatest thickness of the whole pack."),
        key(
            Pack,
            "lap",
            Length,
            "How much may be taken off one shim, where no pack is in band without; nothing where it is not given.",
        ),
        key(Pack, "never", Mixed, "Sizes of which no two may be in the pack together: a list, or a list of lists."),
        key(Pack, "same_as", Name, "Another pack: this one is to be as thick, of other shims."),
        key(Pack, "not_thinner_than", Name, "Another pack: this one is to be as thick or thicker."),
        key(
            Pack,
            "made to size",
            Mixed,
            "In place of a kit: one piece that is made, from and to these sizes in this step, perhaps with a tolerance.",
        ),
        key(
            Pack,
            "instrument",
            Name,
            "What fitted shims that are no kit size were measured with; the shipped micrometer where it is not given.",
        ),
        key(Pack, "source", Text, "Where the rules come from."),
        key(Pack, "note", Text, "A remark; shown, never used."),
        key(Fitted, "readings", Mixed, "What was read on the shim."),
        key(Fitted, "instrument", Name, "What it was read with."),
        key(
            Pack,
            "screw",
            Mixed,
            "In place of a kit: an adjusting screw, by its pitch, range, step and the error of setting it.",
        ),
        key(Screw, "pitch", Length, "How far one turn moves it."),
        key(Screw, "per_inch", Number, "In place of `pitch`: turns for an inch."),
        key(Screw, "range", Mixed, "The least and the greatest turn from where it is now, such as [-1, 1]."),
        key(Screw, "step", Mixed, "The finest turn that is set, such as 1/12 for a flat of a hexagon and half of one."),
        key(Screw, "set_error", Length, "How far the locknut may shift it; nothing where it is not given."),
        key(Made, "from", Length, "The thinnest that is made."),
        key(Made, "to", Length, "The thickest that is made."),
        key(Made, "step", Length, "The step between sizes."),
        key(Made, "tolerance", Length, "How far the piece may be from its size; taken as exact where it is not given."),
        key(Kit, "sizes", Mixed, "The sizes: a list, or a range with from, to and step."),
        key(Kit, "tolerance", Length, "How far a shim may be from its size, either way."),
        key(Kit, "on_hand", Mixed, "How many of each size there are; a size not named is not in the box."),
        key(Kit, "actual", Mixed, "Measured thicknesses of the shims of a size, one figure a shim."),
        key(
            Kit,
            "instrument",
            Name,
            "What the actual thicknesses were measured with; the shipped micrometer where it is not given.",
        ),
        key(Kit, "unit", Word(UNITS), "The unit of bare numbers in this kit and in the packs taken from it."),
        key(Kit, "source", Text, "Where the sizes come from."),
        key(Kit, "note", Text, "A remark; shown, never used."),
        key(SizeRange, "from", Length, "The smallest size."),
        key(SizeRange, "to", Length, "The greatest size."),
        key(SizeRange, "step", Length, "The step between sizes."),
        key(Preset, "preset", Text, "The preset's name: lower-case words joined by `-`."),
        key(Preset, "title", Text, "What it is for, in a few words."),
        key(Preset, "family", Text, "The family of assemblies that it belongs to."),
        key(Preset, "source", Text, "Where the method comes from; `none` is common practice, no source."),
        key(Preset, "sets", Text, "What it sets, in a sentence."),
        key(Preset, "picture", Text, "A picture in plain text."),
        key(Preset, "inputs", Entries(Input), "What is asked, in order."),
        key(
            Preset,
            "stack",
            Mixed,
            "A stack document in which a whole value may be `$input`; under `each STATIONS` what stands once for each station.",
        ),
        key(Preset, "fitting", Texts, "The order of assembly."),
        key(Preset, "verify", Texts, "What to check after assembly."),
        key(Preset, "mistakes", Texts, "Usual mistakes."),
        key(Preset, "cautions", Texts, "Cautions, shown with every answer."),
        key(Preset, "examples", Mixed, "Worked examples, each a test."),
        key(Each, "dimensions", Entries(Dimension), "The dimensions of a station."),
        key(Each, "gaps", Entries(Gap), "The gaps of a station."),
        key(Each, "packs", Entries(Pack), "The packs of a station."),
        key(Input, "ask", Text, "What is asked for."),
        key(Input, "how", Text, "Where to put the instrument."),
        key(Input, "takes", Word(TAKES), "The kind of value."),
        key(Input, "instrument", Name, "What it is usually read with."),
        key(Input, "allow_spread", Length, "How much the places of a face may differ."),
        key(Input, "use", Word(USES), "Which value of the places of a face counts."),
        key(Input, "default", Mixed, "The value where none is given."),
        key(Input, "source", Text, "Where the default comes from; `none` is common practice, no source."),
        key(Input, "choices", Texts, "The words of a choice."),
        key(Example, "title", Text, "What the example is."),
        key(Example, "source", Text, "Where its figures come from."),
        key(Example, "given", Mixed, "The inputs."),
        key(Example, "expect", Mixed, "What must come out: a pack's sizes, a gap's value, the verdict."),
        key(Expected, "is", Length, "The expected value."),
        key(Expected, "within", Length, "How far it may be off."),
    ]
};

#[cfg(test)]
mod tests {
    use super::KEYS;

    #[test]
    fn no_key_stands_twice_and_each_has_a_sentence() {
        for (index, key) in KEYS.iter().enumerate() {
            assert!(key.sentence.ends_with('.'), "{}", key.name);
            assert!(
                !KEYS[..index].iter().any(|other| (other.section, other.name) == (key.section, key.name)),
                "{}",
                key.name
            );
        }
    }
}
