/* err.h - an error as a value, with a message for a person.
 *
 * A function that can fail returns 0, or a negative code with a struct err that the failing
 * function fills in. System faults keep their number (-errno, which is what libuv returns too);
 * ours lie below -10000, so that the two never meet. Code branches on the number; people read the
 * message.
 *
 * The message is set once, where the fault is first seen. A caller may only put context in front.
 */
#ifndef TARN_BASE_ERR_H
#define TARN_BASE_ERR_H

enum {
    ERR_SYNTAX = -10001,  /* the text cannot be read: not a number, an unknown unit, broken JSON */
    ERR_RANGE = -10002,   /* readable, but outside of what can be */
    ERR_UNKNOWN = -10003, /* names something that does not exist */
    ERR_CONFIG = -10004,  /* the room file is at fault; line and column say where */
    ERR_REFUSED = -10005, /* a rule of the room says no; the message says why */
    ERR_UNSURE = -10006,  /* possible but strange: goes through when the caller says it is sure */
    ERR_MISSING = -10007, /* a figure or parameter that is needed was not given */
    ERR_STORE = -10008,   /* the journal cannot be read or written */
    ERR_BUSY = -10009,    /* a limit is reached, or another daemon has the place; try again */
    ERR_FULL = -10010,    /* the disk is full: nothing was written, and what is there can be read */
};

struct err {
    int code;              /* the number that was returned; 0 = nothing failed */
    unsigned line, column; /* 1-based; 0 = not about a place in a file */
    char file[128];        /* a copy, so it outlives the parser; "" = none */
    char field[48];        /* the figure or parameter at fault; "" = none */
    char msg[400];         /* one sentence, no newline, no final period */
};

/* Fill in *e and return the code. NULL for e is fine: the code is returned all the same. A message
 * that does not fit is cut. What is left is whole UTF-8 characters, also where a precision in fmt
 * cut a quoted word, and what a terminal would obey (utf8_is_unshown) is shown as '?'. */
int err_set(struct err *e, int code, const char *fmt, ...) __attribute__((format(printf, 3, 4)));

/* The same with the name of the figure or parameter at fault, for a program to branch on. */
int err_field(struct err *e, int code, const char *field, const char *fmt, ...)
    __attribute__((format(printf, 4, 5)));

/* Puts context in front of the message ("plan 'x': ") and returns e's code. */
int err_prefix(struct err *e, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

#endif
