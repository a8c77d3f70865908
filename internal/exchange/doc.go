// Package exchange packs what is handed to a laboratory, and reads what comes back.
//
// A parcel is a plain zip archive: the scans under sensible names, the work order as PDF,
// pictures, margin and insertion axis, a page that shows it all without a network, a
// receipt to fill in, and a manifest with the hash of every file. It can be sealed with an
// Ed25519 signature of the manifest, and encrypted to age recipients. Names of people stand
// in no file name; what a scan says in its header is shown and can be taken out, which
// leaves every coordinate as it is.
//
// The shape of teeth can itself identify somebody, as dental records do: what is sent
// without a name is not anonymous.
package exchange
