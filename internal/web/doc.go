// Package web serves the page at the chair: HTML made on the server, which works
// without a script, and a stream of events that lets a script keep it fresh.
//
// It calls no analysis. What it shows is read from package work, which alone changes
// anything. Every address is served with a policy that lets nothing be loaded from
// elsewhere, and every change is refused that another site's page sent.
package web
