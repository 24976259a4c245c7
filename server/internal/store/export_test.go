package store

// WearStart is the step of layout 6 about wear, for a test of what it opens.
var WearStart = wearStart
