// Package marking reads what stands on the body of a part: colour bands,
// letter and figure codes, type numbers. It also keeps the parts shelf, the
// list of parameters assumed for a type number, each with its source.
//
// In:  the marking as a person types it ("yellow violet orange gold", "4K7J",
// "2A104J", "BC547B").
// Out: the readings it can have, the likeliest first; a marking is often
// ambiguous ("104" is 100 nF on a disc and 100 kΩ on a trimmer), and then all
// readings are kept, none is hidden.
package marking
