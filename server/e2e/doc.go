// Package e2e holds tests of the whole program in real Chromium: an in-process
// server on a free port, a clock that the test holds, and a listener that the
// test can stop, so that offline is truly offline.
package e2e
