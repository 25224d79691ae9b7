/* status: how every function that can fail says how it ended.
 *
 * 0 is success. The hundreds name the family, and each family has one exit code of the program
 * (README, "Exit codes"). The sentence of what went wrong travels apart, as a diagnostic (diag.h):
 * a status says only which kind of answer the caller has to give.
 */
#ifndef SW_BASE_STATUS_H
#define SW_BASE_STATUS_H

/* name, number, exit code of the program, sentence */
#define SW_STATUS_LIST(X)                                                                        \
    X(OK, 0, 0, "done")                                                                          \
    X(USAGE, 100, 2, "the command line is wrong")                                                \
    X(INPUT, 200, 3, "an input file is invalid")                                                 \
    X(UNREADABLE, 201, 3, "an input file is missing, unreadable or too large")                   \
    X(CANNOT, 300, 4, "valid, but it cannot be made with this shop")                             \
    X(FOUND, 400, 1, "something is wrong with the part or the program")                          \
    X(MEMORY, 500, 5, "out of memory")                                                           \
    X(READ, 501, 5, "reading failed")                                                            \
    X(WRITE, 502, 5, "writing failed")                                                           \
    X(INTERNAL, 900, 70, "an internal rule of staffwright was broken; please report it")

enum sw_status {
#define X(name, number, exit_code, sentence) SW_##name = number,
    SW_STATUS_LIST(X)
#undef X
};

/** Give the sentence for a status; never NULL. */
const char *sw_status_text(enum sw_status status);

/** Give the exit code [0..70] of the program for a status. */
int sw_status_exit_code(enum sw_status status);

#define SW_MUST_CHECK __attribute__((warn_unused_result))
/** TEXT and FIRST: which argument is the printf format, which the first value. */
#define SW_PRINTF(text, first) __attribute__((format(printf, text, first)))

/** Return the status of EXPR from the calling function unless it is SW_OK. */
#define SW_TRY(expr)                                                                             \
    do {                                                                                         \
        const enum sw_status sw_try_status_ = (expr);                                            \
        if (sw_try_status_ != SW_OK)                                                             \
            return sw_try_status_;                                                               \
    } while (0)

#endif
