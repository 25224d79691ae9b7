#include "base/mem.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void *resize_plain(void *user, void *block, size_t old_size, size_t new_size)
{
    (void)user;
    (void)old_size;
    if (new_size == 0) {
        free(block);
        return NULL;
    }
    return realloc(block, new_size);
}

static struct sw_mem_hook hook_in_force = {resize_plain, NULL};

void sw_mem_set_hook(const struct sw_mem_hook *hook)
{
    if (hook)
        hook_in_force = *hook;
    else
        hook_in_force = (struct sw_mem_hook){resize_plain, NULL};
}

void *sw_mem_resize(void *block, size_t old_size, size_t new_size)
{
    return hook_in_force.resize(hook_in_force.user, block, old_size, new_size);
}

struct chunk {
    struct chunk *before;
    size_t size; /* bytes behind this head */
    size_t used;
    max_align_t data[];
};

struct sw_arena {
    struct chunk *last;
};

#ifdef SW_ARENA_PASSTHROUGH
static const size_t chunk_least = 0;
#else
static const size_t chunk_least = 64 * 1024 - sizeof(struct chunk);
#endif

struct sw_arena *sw_arena_new(void)
{
    struct sw_arena *arena = sw_mem_resize(NULL, 0, sizeof *arena);
    if (arena)
        arena->last = NULL;
    return arena;
}

void sw_arena_free(struct sw_arena *arena)
{
    if (!arena)
        return;
    while (arena->last) {
        struct chunk *chunk = arena->last;
        arena->last = chunk->before;
        sw_mem_resize(chunk, sizeof *chunk + chunk->size, 0);
    }
    sw_mem_resize(arena, sizeof *arena, 0);
}

void *sw_arena_alloc(struct sw_arena *arena, size_t n, size_t size)
{
    if (size != 0 && n > (SIZE_MAX / 2) / size)
        return NULL;
    const size_t align = sizeof(max_align_t);
    size_t want = (n * size + align - 1) / align * align;
    if (want == 0)
        want = align;
    struct chunk *chunk = arena->last;
    if (!chunk || chunk->size - chunk->used < want) {
        const size_t room = want > chunk_least ? want : chunk_least;
        chunk = sw_mem_resize(NULL, 0, sizeof *chunk + room);
        if (!chunk)
            return NULL;
        chunk->before = arena->last;
        chunk->size = room;
        chunk->used = 0;
        arena->last = chunk;
    }
    void *block = (char *)chunk->data + chunk->used;
    chunk->used += want;
    memset(block, 0, want);
    return block;
}

char *sw_arena_copy(struct sw_arena *arena, const char *text, size_t size)
{
    char *copy = size < SIZE_MAX ? sw_arena_alloc(arena, size + 1, 1) : NULL;
    if (copy && size)
        memcpy(copy, text, size);
    return copy;
}

char *sw_arena_printf(struct sw_arena *arena, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    const int size = vsnprintf(NULL, 0, format, args);
    va_end(args);
    char *text = size >= 0 ? sw_arena_alloc(arena, (size_t)size + 1, 1) : NULL;
    if (text)
        vsnprintf(text, (size_t)size + 1, format, again);
    va_end(again);
    return text;
}

struct any_vec {
    void *at;
    size_t n;
    size_t cap;
};

int sw_vec_room(struct sw_arena *arena, void *vec, size_t item_size)
{
    struct any_vec v;
    memcpy(&v, vec, sizeof v);
    if (v.n < v.cap)
        return 1;
    const size_t cap = v.cap ? v.cap * 2 : 8;
    void *more = cap > v.cap ? sw_arena_alloc(arena, cap, item_size) : NULL;
    if (!more)
        return 0;
    if (v.n)
        memcpy(more, v.at, v.n * item_size);
    v.at = more;
    v.cap = cap;
    memcpy(vec, &v, sizeof v);
    return 1;
}
