//! What is wrong with a document, said once and shown in many ways.

use super::source::Span;

/// How bad it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Severity {
    /// The document cannot be used.
    Error,
    /// The document can be used; a reader should know.
    Note,
}

impl Severity {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Severity::Error => "error",
            Severity::Note => "note",
        }
    }
}

/// One thing to say about a document.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostic {
    /// A stable name for this kind of fault.
    pub code: Code,
    /// How bad it is.
    pub severity: Severity,
    /// One phrase that can stand alone.
    pub message: String,
    /// Where.
    pub at: Option<Span>,
    /// The other place that has to do with it, with a phrase for it: the first of two equal keys.
    pub other: Option<(Span, String)>,
    /// The way to the value through the document, such as `dimensions.pocket.tolerance`.
    pub path: String,
    /// What to do.
    pub help: Option<String>,
}

impl Diagnostic {
    /// An error without a place.
    #[must_use]
    pub fn error(code: Code, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            at: None,
            other: None,
            path: String::new(),
            help: None,
        }
    }

    /// A note without a place.
    #[must_use]
    pub fn note(code: Code, message: impl Into<String>) -> Self {
        Self { severity: Severity::Note, ..Self::error(code, message) }
    }

    /// With a place.
    #[must_use]
    pub fn at(mut self, at: Span) -> Self {
        self.at = Some(at);
        self
    }

    /// With a way through the document.
    #[must_use]
    pub fn path(mut self, path: impl Into<String>) -> Self {
        self.path = path.into();
        self
    }

    /// With advice.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With a second place.
    #[must_use]
    pub fn other(mut self, at: Span, phrase: impl Into<String>) -> Self {
        self.other = Some((at, phrase.into()));
        self
    }
}

/// All that was said about a document.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diagnostics {
    all: Vec<Diagnostic>,
}

impl Diagnostics {
    /// None yet.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.all.push(diagnostic);
    }

    /// Adds all of another collection.
    pub fn extend(&mut self, other: Diagnostics) {
        self.all.extend(other.all);
    }

    /// Whether any of them makes the document unusable.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.all.iter().any(|one| one.severity == Severity::Error)
    }

    /// All of them, in the order in which they were found.
    pub fn iter(&self) -> impl Iterator<Item = &Diagnostic> {
        self.all.iter()
    }

    /// How many there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// The errors alone.
    #[must_use]
    pub fn into_errors(mut self) -> Diagnostics {
        self.all.retain(|one| one.severity == Severity::Error);
        self
    }

    /// The notes alone.
    #[must_use]
    pub fn into_notes(self) -> Vec<Diagnostic> {
        self.all.into_iter().filter(|one| one.severity == Severity::Note).collect()
    }
}

impl From<Diagnostic> for Diagnostics {
    fn from(one: Diagnostic) -> Self {
        Diagnostics { all: vec![one] }
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $text:literal: $sentence:literal;)*) => {
        /// The stable name of a kind of fault.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Code {
            $(#[doc = $sentence] $name,)*
        }

        impl Code {
            /// Every code.
            pub const ALL: &[Code] = &[$(Code::$name),*];

            /// The name that is shown and written to JSON.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self { $(Code::$name => $text,)* }
            }

            /// What it means, in a sentence.
            #[must_use]
            pub fn meaning(self) -> &'static str {
                match self { $(Code::$name => $sentence,)* }
            }
        }
    };
}

codes! {
    Yaml = "not-yaml": "The file is not YAML; the fault named is the first one, and the rest was not read.";
    Empty = "empty-file": "There is nothing in the file.";
    TooLarge = "too-large": "The file is larger than any stack of parts needs.";
    Alias = "alias": "Anchors, aliases and merge keys are not taken; write the value out.";
    Tag = "tag": "Tags (`!word`) are not taken.";
    ChainDash = "chain-begins-with-dash": "An expression that begins with `- ` is read by YAML as a list.";
    ColonInText = "colon-in-text": "A `: ` in a text is read by YAML as a key.";
    HashInText = "hash-in-text": "A `#` with a blank before it begins a remark, and what follows is not read.";
    Tab = "tab": "A tab stands where YAML wants spaces.";
    UnknownKey = "unknown-key": "This key is not known here.";
    DoubleKey = "double-key": "The same key is given twice.";
    MissingKey = "missing-key": "A key that is needed is not there.";
    WrongForm = "wrong-form": "The value has another form than the key wants.";
    KeysExclude = "keys-exclude": "These keys cannot stand together.";
    NotANumber = "not-a-number": "A number is due here.";
    DecimalComma = "decimal-comma": "A comma stands where a decimal point is due.";
    NotFinite = "not-finite": "The number is infinite, or too large to be a length.";
    UnknownUnit = "unknown-unit": "The unit is not known.";
    Negative = "negative": "The value may not be negative.";
    Zero = "zero": "The value may not be zero.";
    Order = "wrong-way-round": "The lower value must come first.";
    BadName = "bad-name": "This cannot be a name.";
    NameTwice = "name-twice": "A name is used for two things.";
    UnknownName = "unknown-name": "Nothing has this name.";
    Expression = "expression": "The expression cannot be read.";
    NotLinear = "not-linear": "A chain may only add, subtract and scale.";
    Cycle = "cycle": "Gaps refer to each other in a circle.";
    EmptyGap = "empty-gap": "The gap has nothing in its chain.";
    NoGap = "no-gap": "The document has no gap to answer for.";
    UnknownWord = "unknown-word": "This word is not one of those that the key takes.";
    Temperature = "temperature": "The temperature cannot be read, or no part can have it.";
    Distribution = "distribution": "The figures of the distribution do not go together, or not with the limits.";
    Table = "table": "A table of figures has not what the document wants of it.";
    Class = "class": "The tolerance class cannot be looked up.";
    SlipOfUnit = "slip-of-unit": "A value looks like a slip of unit or decimal point.";
    CommaReadings = "comma-readings": "Whole readings stand where decimals are due: decimal commas, perhaps.";
    PreloadSign = "preload-sign": "A gap called preload with a positive figure needs `as: preload`.";
    EmptyKit = "empty-kit": "The kit has no sizes.";
    KitSize = "kit-size": "A kit's size must be greater than zero, and given once.";
    Count = "count": "The count of shims must be whole, not negative, the fewer first.";
    NeedsFitted = "needs-fitted": "A reading of the assembled gap needs to know which shims were in.";
    NoTarget = "no-target": "There is nothing to aim at.";
    NoBand = "no-band": "No gap with a pack has a band, so that nothing says what is reached.";
    NoPopulation = "no-population": "Nothing is known of other units than the one that was read.";
    TightPlay = "tight-play": "A play of nothing says only that the pack is tight.";
    CorrelationTwice = "correlation-twice": "Two dimensions have two correlations.";
    CorrelationSelf = "correlation-self": "A dimension is correlated with itself.";
    CorrelationRange = "correlation-range": "A correlation is a number from -1 to 1.";
    CorrelationReach = "correlation-reach": "Two laws of such shapes cannot have this correlation.";
    CorrelationMatrix = "correlation-matrix": "No parts can have these correlations all at once.";
    NotFitted = "not-fitted": "A shim that stays must be among those that are fitted.";
    NoPack = "no-pack": "No pack obeys the rules.";
    TooManyPacks = "too-many-packs": "There are more packs than can be looked through.";
    SeveralPacks = "several-packs": "This version chooses one pack at a time.";
    NotComputed = "not-computed": "A result could not be computed.";
    UnknownPreset = "unknown-preset": "No preset has this name.";
    NoFile = "no-file": "The file cannot be read.";
    MissingInput = "missing-input": "An input of the preset is not given.";
    BadInput = "bad-input": "A preset's input or example is not well formed.";
    Line = "bad-line": "The command line cannot be read.";
    BadValue = "bad-value": "The value after NAME= cannot be read.";
    Assumed = "assumed": "A figure was assumed because none was given.";
    NoScatter = "no-scatter": "One reading tells nothing of the scatter.";
    FewRepeats = "few-repeats": "The scatter comes from very few repeats.";
    AtTwenty = "brought-to-20": "A reading was brought to 20 °C by the expansion of the part and of the tool.";
    NoMaterial = "no-material": "A part does not say what it is made of where that would matter.";
    NotFlat = "not-flat": "The readings of a face differ by more than allowed.";
    Stacked = "stacked-blades": "Stacked feeler blades read thick: oil and air count with them.";
    OddReading = "odd-reading": "A reading stands off from the others made beside it.";
    Swapped = "swapped": "The readings of two dimensions seem to have changed places.";
    Contradicts = "contradicts": "Readings and drawing do not agree.";
    TargetOutside = "target-outside": "The target is outside the band.";
    CorrelationUnused = "correlation-unused": "A correlation is of no use, for one of its dimensions was measured or is exact.";
    Unjudged = "unjudged": "A gap has nothing to be judged by.";
    Unused = "unused": "Something in the document is used by nothing.";
    Tail = "law-tail": "The figure rests on the law far beyond the drawing's limits.";
}
