// Package trial holds circuits to try drawings on: stages of published
// textbooks described in our own short text, and random circuits. It is test
// support and no part of the program.
package trial
