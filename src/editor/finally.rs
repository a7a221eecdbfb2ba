//! What is called however a piece of work ends.

/// Calls once it goes out of scope: on a panic, too, somebody waits.
pub(crate) struct Finally<F: FnOnce()>(pub(crate) Option<F>);

impl<F: FnOnce()> Drop for Finally<F> {
    fn drop(&mut self) {
        if let Some(call) = self.0.take() {
            call();
        }
    }
}
