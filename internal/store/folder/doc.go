// Package folder keeps blobs as files, encrypted with a key that lies elsewhere.
//
// A blob with the hash abcd… is the file ab/abcd… in the folder: the content,
// encrypted with age to the key of the installation. It is written beside, flushed to the disk
// and then moved to its name, so a file with a blob's name is whole.
package folder
