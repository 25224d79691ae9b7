/* mem: all memory of the project, so that tests can count, poison and refuse it.
 *
 * Nearly everything lives in an arena and dies with it: one arena a job, scratch arenas inside a
 * stage. Built with SW_ARENA_PASSTHROUGH each arena block is a malloc of its own, so that
 * sanitizers see overruns between neighbours.
 * Returns: NULL means out of memory or a size that overflows; nothing else fails.
 * Threads: an arena belongs to one thread; the hook is set once before threads start.
 */
#ifndef SW_BASE_MEM_H
#define SW_BASE_MEM_H

#include <stddef.h>

/** One function for all: OLD_SIZE 0 allocates, NEW_SIZE 0 frees (and returns NULL). */
struct sw_mem_hook {
    void *(*resize)(void *user, void *block, size_t old_size, size_t new_size);
    void *user;
};

/** Replace the allocator; NULL brings back the C library's. For tests. */
void sw_mem_set_hook(const struct sw_mem_hook *hook);

/** Allocate, grow, shrink or free through the hook. The caller owns the block. */
void *sw_mem_resize(void *block, size_t old_size, size_t new_size);

struct sw_arena;

/** Make an empty arena; owned, free with sw_arena_free. NULL when out of memory. */
struct sw_arena *sw_arena_new(void);

/** Free an arena and all that lives in it; NULL is allowed. */
void sw_arena_free(struct sw_arena *arena);

/** Take N * SIZE zeroed bytes, aligned for any type; they live in the arena. N * SIZE = 0 gives a
 *  valid pointer that must not be read. */
void *sw_arena_alloc(struct sw_arena *arena, size_t n, size_t size);

/** Copy SIZE bytes and end them with a NUL that SIZE does not count. */
char *sw_arena_copy(struct sw_arena *arena, const char *text, size_t size);

/** Print into the arena. */
char *sw_arena_printf(struct sw_arena *arena, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#define SW_NEW(arena, type, n) ((type *)sw_arena_alloc((arena), (n), sizeof(type)))

/** A growable array of TYPE whose items live in an arena: SW_VEC(struct sw_pt) points = {0}; */
#define SW_VEC(type)                                                                               \
    struct {                                                                                       \
        type *at;                                                                                  \
        size_t n;                                                                                  \
        size_t cap;                                                                                \
    }

/** Append VALUE; true when it stands, false when out of memory (the array is unchanged). */
#define SW_VEC_PUSH(arena, vec, value)                                                             \
    ((vec)->n < (vec)->cap || sw_vec_room((arena), (vec), sizeof *(vec)->at)                       \
         ? ((vec)->at[(vec)->n++] = (value), 1)                                                    \
         : 0)

/** Make room for one more item; VEC points at an SW_VEC. Not for direct use. */
int sw_vec_room(struct sw_arena *arena, void *vec, size_t item_size);

#endif
