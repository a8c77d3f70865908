// Package job runs work in the background that survives a crash: tasks are queued in
// the transaction of what they belong to, run at least once, and can be cancelled.
//
// A task may run twice (a program that is killed after the work and before the commit
// runs it again), so a handler first looks whether its work is done. What a task does
// is known to its handler, not here.
package job
