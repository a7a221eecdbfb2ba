//! Choices that have one word each in files.

/// Declares a choice: its variants, and the word each has in files.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$variant_doc:meta])* $variant:ident: $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$variant_doc])* $variant),+ }

        impl $name {
            /// Every choice with its word in files.
            pub const ALL: &'static [(&'static str, Self)] = &[$(($word, Self::$variant)),+];

            /// The word in files.
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }
        }
    };
}

pub(super) use words;
