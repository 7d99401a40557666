package main

// private: a person's folders are theirs alone here already.
func private() {}
