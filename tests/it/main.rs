//! Integration tests, one binary.
