// Package home knows where an installation keeps its cases: a ledger in a file or in
// PostgreSQL, scans in a folder or an object store, and the key that opens them. It opens
// them, and says in one line why they cannot be.
package home
