// Package s3 keeps blobs in a bucket of an object store that speaks the S3 protocol, for
// a group of practices with a server of its own. They are sealed before they leave, with
// the key that package folder uses: the store sees neither content nor names of files.
package s3
