/* Lists of names: the entries of a folder, and the files that a record says are ours. */
#include "base/fileinside.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>

#include "base/buf.h"

bool sw_names_have(const struct sw_names *names, const char *name)
{
    for (size_t i = 0; i < names->n; i++)
        if (strcmp(names->at[i], name) == 0)
            return true;
    return false;
}

bool sw_names_push(struct sw_names *names, struct sw_arena *arena, const char *name, size_t size)
{
    const char *copy = sw_arena_copy(arena, name, size);
    return copy && SW_VEC_PUSH(arena, names, copy);
}

int sw_file_list(struct sw_names *to, const char *folder, struct sw_arena *arena)
{
    const struct sw_file_ops *ops = sw_file_ops_in_force();
    DIR *dir = ops->opendir(folder);
    if (!dir)
        return errno;
    int error = 0;
    for (;;) {
        errno = 0;
        const struct dirent *entry = ops->readdir(dir);
        if (!entry) {
            error = errno;
            break;
        }
        if (strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0)
            continue;
        if (!sw_names_push(to, arena, entry->d_name, strlen(entry->d_name))) {
            error = ENOMEM;
            break;
        }
    }
    ops->closedir(dir);
    return error;
}

struct scanner {
    const char *at;
    const char *end;
};

static void pass_space(struct scanner *s)
{
    while (s->at < s->end && (*s->at == ' ' || *s->at == '\t' || *s->at == '\n' || *s->at == '\r'))
        s->at++;
}

/* Passes the text in quotes that begins here; false when there is none. */
static bool pass_text(struct scanner *s, const char **text, size_t *size)
{
    if (s->at == s->end || *s->at != '"')
        return false;
    *text = ++s->at;
    while (s->at < s->end && *s->at != '"')
        s->at += *s->at == '\\' && s->at + 1 < s->end ? 2 : 1;
    *size = (size_t)(s->at - *text);
    if (s->at >= s->end)
        return false;
    s->at++;
    return true;
}

static bool pass_sign(struct scanner *s, char sign)
{
    pass_space(s);
    if (s->at == s->end || *s->at != sign)
        return false;
    s->at++;
    return true;
}

/* A name with an escape or a slash in it was not written by us. */
static bool is_plain_name(const char *text, size_t size)
{
    return size > 0 && !memchr(text, '\\', size) && !memchr(text, '/', size) &&
           !memchr(text, '\0', size) && !(size == 1 && text[0] == '.') &&
           !(size == 2 && text[0] == '.' && text[1] == '.');
}

static bool read_array(struct sw_names *to, bool *out_of_memory, struct scanner *s,
                       struct sw_arena *arena)
{
    if (pass_sign(s, ']'))
        return true;
    do {
        const char *text;
        size_t size;
        pass_space(s);
        if (!pass_text(s, &text, &size) || !is_plain_name(text, size))
            return false;
        if (!sw_names_push(to, arena, text, size)) {
            *out_of_memory = true;
            return false;
        }
    } while (pass_sign(s, ','));
    return pass_sign(s, ']');
}

bool sw_record_scan(struct sw_names *to, bool *out_of_memory, const char *text, size_t size,
                    struct sw_arena *arena)
{
    struct scanner s = {text, text + size};
    int depth = 0;
    *out_of_memory = false;
    while (s.at < s.end) {
        const char *word;
        size_t n;
        if (*s.at != '"') {
            depth += (*s.at == '{' || *s.at == '[') - (*s.at == '}' || *s.at == ']');
            s.at++;
            continue;
        }
        if (!pass_text(&s, &word, &n))
            return false;
        if (depth == 1 && n == 5 && memcmp(word, "files", 5) == 0 && pass_sign(&s, ':') &&
            pass_sign(&s, '['))
            return read_array(to, out_of_memory, &s, arena);
    }
    return false;
}

bool sw_record_read(struct sw_names *to, bool *out_of_memory, const char *path,
                    struct sw_arena *arena)
{
    *out_of_memory = false;
    errno = 0;
    const int fd = sw_file_ops_in_force()->open(path, O_RDONLY, 0);
    if (fd < 0)
        return false;
    struct sw_buf buf = {0};
    const int error = sw_file_drain(&buf, fd, SW_FILE_MOST_INPUT);
    sw_file_ops_in_force()->close(fd);
    *out_of_memory = error == ENOMEM;
    const bool is_good =
        error == 0 && sw_record_scan(to, out_of_memory, sw_buf_text(&buf), buf.n, arena);
    sw_buf_done(&buf);
    errno = error;
    return is_good;
}
