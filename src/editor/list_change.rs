//! A change of a list, and what takes it back.

/// A change of one list of the case: its roots, a canal's points, a root's sections, the references.
#[derive(Debug, Clone, PartialEq)]
pub enum ListChange<T> {
    /// Puts an entry before the one that stands at `at`; at the end where `at` is the list's length.
    Insert {
        /// Where it will stand, counted from 0.
        at: usize,
        /// The entry.
        item: Box<T>,
    },
    /// Puts an entry in the place of another.
    Replace {
        /// Where it stands, counted from 0.
        at: usize,
        /// The entry that comes.
        item: Box<T>,
    },
    /// Takes an entry out.
    Remove {
        /// Where it stands, counted from 0.
        at: usize,
    },
    /// Puts a whole list in the place of another.
    Whole(Vec<T>),
}

/// A list has no entry where one was meant.
pub(super) struct OutOfList {
    pub(super) at: usize,
    pub(super) count: usize,
}

impl<T: Clone> ListChange<T> {
    /// Changes the list and gives the change that takes it back exactly.
    pub(super) fn perform(&self, list: &mut Vec<T>) -> Result<Self, OutOfList> {
        let count = list.len();
        match self {
            Self::Insert { at, item } if *at <= count => {
                list.insert(*at, T::clone(item));
                Ok(Self::Remove { at: *at })
            }
            Self::Replace { at, item } => match list.get_mut(*at) {
                Some(entry) => {
                    let before = std::mem::replace(entry, T::clone(item));
                    Ok(Self::Replace { at: *at, item: Box::new(before) })
                }
                None => Err(OutOfList { at: *at, count }),
            },
            Self::Remove { at } if *at < count => {
                Ok(Self::Insert { at: *at, item: Box::new(list.remove(*at)) })
            }
            Self::Insert { at, .. } | Self::Remove { at } => Err(OutOfList { at: *at, count }),
            Self::Whole(whole) => Ok(Self::Whole(std::mem::replace(list, whole.clone()))),
        }
    }

    /// Whether this change leaves nothing of what an earlier one did, so that one of the two is enough.
    pub(super) fn overwrites(&self, earlier: &Self) -> bool {
        match (self, earlier) {
            (Self::Replace { at, .. }, Self::Replace { at: before, .. }) => at == before,
            (Self::Whole(_), Self::Whole(_)) => true,
            _ => false,
        }
    }
}
