package store

// Buckets is the layout, for tests that go through all of it.
var Buckets = buckets

// WearStart is the step of layout 6 about wear, for a test of what it opens.
var WearStart = wearStart
