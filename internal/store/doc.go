// Package store keeps what happened: an append-only ledger of events in an SQL
// database, a row per case that is computed from its events, and blobs named by the
// hash of their content.
//
// The ledger is one chain. Every event carries the SHA-256 of its own fields and of the
// event before it, so an event that is altered, removed or put in later is found by
// [Ledger.Verify]. Nothing in it is ever updated or deleted.
//
// The same text of SQL runs on SQLite and PostgreSQL; packages sqlite and postgres open
// the databases, package folder keeps blobs. What the events mean is known in package
// work, not here.
package store
