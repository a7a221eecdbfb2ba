//! Films: reading picture files into grey values, and what the file says about its scale.
