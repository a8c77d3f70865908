// Package api is how other programs use this one: bring the scans of a case, ask for a
// check, read where it stands, its report and its pictures, and hear what is new.
//
// Its description, an OpenAPI document, is made from the same code that answers. It
// decides nothing about who may do what: package web, the door before it, does.
package api
