//! A thread that stays, for work that is done again and again: one piece after the other. The C library keeps what a thread
//! has freed, in as many places as there were threads at a time; threads that come and go would fill each of them.

use std::fmt;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Sender, channel};

type Work = Box<dyn FnOnce() + Send>;

/// The thread, which begins with the first piece of work and ends once nobody can give it more.
#[derive(Default)]
pub(super) struct Behind {
    works: Option<Sender<Work>>,
}

impl fmt::Debug for Behind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Behind").finish_non_exhaustive()
    }
}

impl Behind {
    /// Has something done after all that was asked for before. Work that dies takes no other with it.
    pub(super) fn have_done(&mut self, work: impl FnOnce() + Send + 'static) {
        let works = self.works.get_or_insert_with(|| {
            let (send, receive) = channel::<Work>();
            std::thread::spawn(move || {
                for work in receive {
                    // Whoever waits for it learns by its broken channel that it died.
                    let _ = catch_unwind(AssertUnwindSafe(work));
                }
            });
            send
        });
        // The thread waits for as long as this sender lives.
        let _ = works.send(Box::new(work));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_is_done_in_order_by_one_thread_whatever_dies() {
        let mut behind = Behind::default();
        let (send, receive) = channel();
        for count in 0..20 {
            let send = send.clone();
            behind.have_done(move || {
                send.send((count, std::thread::current().id())).unwrap();
                assert!(count % 5 != 0, "some work dies");
            });
        }
        drop(send);
        let done: Vec<_> = receive.iter().collect();
        assert!(done.iter().map(|(count, _)| *count).eq(0..20));
        assert!(
            done.iter().all(|(_, thread)| *thread == done[0].1 && *thread != std::thread::current().id())
        );
    }
}
