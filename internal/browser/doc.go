// Package browser drives a real Chromium for tests: one start-up, and hands that touch,
// type and look. It answers "does it work as a person uses it?", and is imported by tests
// alone.
package browser
