package store

// Buckets is the layout, for tests that go through all of it.
var Buckets = buckets
