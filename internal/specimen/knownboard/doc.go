// Package knownboard holds photographs of boards whose nets are known, real
// ones and rendered ones, and counts what a tracing of one got right. It is
// test support; nothing but tests imports it.
package knownboard
