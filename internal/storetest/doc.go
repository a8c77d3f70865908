// Package storetest is the suite that every ledger and every keeper of blobs must pass,
// and the databases to run it on. Only tests import it.
package storetest
