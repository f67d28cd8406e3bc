/*
 * One source for several instruction sets.
 *
 * Files of blocks are compiled once for each; LEVEL(name) is the name that a function has there, so
 * that such files call one another within one instruction set. With contraction off, and without
 * anything that asks for fast arithmetic, all give the same bits.
 */
#ifndef LIB_NUM_LEVEL_H
#define LIB_NUM_LEVEL_H

#ifndef FIRN_LEVEL
#define FIRN_LEVEL plain
#endif

#define LEVEL_JOINED(name, level) name##_##level
#define LEVEL_OF(name, level)     LEVEL_JOINED(name, level)
#define LEVEL(name)               LEVEL_OF(name, FIRN_LEVEL)

#endif
