#include "daemon/base/names.h"

#include "daemon/base/err.h"
#include "daemon/base/mem.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define DIGITS_MAX 9
#define FOLD_LEAST 3

bool name_is_valid(const char *name)
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";
    static const char inside[] =
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.";
    size_t len = strlen(name);

    return len >= 1 && len <= NAME_LEN_MAX && strchr(letters, name[0]) &&
           strspn(name, inside) == len;
}

/* Where the number at the end of a name begins; len when there is none that we count with. */
static size_t number_at(const char *s, size_t len)
{
    size_t at = len;

    while (at > 0 && s[at - 1] >= '0' && s[at - 1] <= '9' && len - at < DIGITS_MAX) {
        at--;
    }
    return at;
}

static int64_t number_of(const char *digits, size_t len)
{
    int64_t v = 0;

    for (size_t i = 0; i < len; i++) {
        v = v * 10 + (digits[i] - '0');
    }
    return v;
}

static void add(struct names *ns, char *taken)
{
    ns->name = mem_grow(ns->name, &ns->cap, ns->n + 1, sizeof *ns->name);
    ns->name[ns->n++] = taken;
}

bool name_run_parse(const char *word, struct name_run *out)
{
    const char *dots = strstr(word, "..");
    const char *right = dots ? dots + 2 : "";
    size_t left_len = dots ? (size_t)(dots - word) : 0;
    size_t right_len = strlen(right);
    size_t left_at = number_at(word, left_len);
    size_t right_at = number_at(right, right_len);
    struct name_run run = {.width = (int)(left_len - left_at)};

    if (left_at == left_len || left_at == 0 || left_at > NAME_LEN_MAX || right_at == right_len) {
        return false;
    }
    if (right_at && (right_at != left_at || memcmp(word, right, left_at) != 0)) {
        return false;
    }
    memcpy(run.stem, word, left_at);
    run.from = number_of(word + left_at, left_len - left_at);
    run.to = number_of(right + right_at, right_len - right_at);
    *out = run;
    return true;
}

char *name_run_write(char buf[NAME_RUN_TEXT_MAX], const struct name_run *run, int64_t i)
{
    (void)snprintf(buf, NAME_RUN_TEXT_MAX, "%s%0*lld", run->stem, run->width, (long long)i);
    return buf;
}

static int add_run(struct names *ns, const char *word, struct err *e)
{
    struct name_run run;
    char name[NAME_RUN_TEXT_MAX];

    if (!name_run_parse(word, &run) || run.to < run.from) {
        return err_set(e, ERR_SYNTAX, "'%.60s' is not a run of names; one looks like A1..A5", word);
    }
    if (run.to - run.from >= NAMES_RUN_MAX) {
        return err_set(e, ERR_SYNTAX, "'%.60s' stands for more than %d names", word, NAMES_RUN_MAX);
    }
    for (int64_t i = run.from; i <= run.to; i++) {
        add(ns, mem_strdup(name_run_write(name, &run, i)));
    }
    return 0;
}

int names_add(struct names *ns, const char *word, struct err *e)
{
    if (strstr(word, "..")) {
        return add_run(ns, word, e);
    }
    if (*word == '\0') {
        return err_set(e, ERR_SYNTAX, "a name is empty");
    }
    add(ns, mem_strdup(word));
    return 0;
}

int names_add_list(struct names *ns, const char *list, struct err *e)
{
    while (true) {
        size_t len = strcspn(list, ",");
        char *word = mem_array(len + 1, 1);
        int rc;

        memcpy(word, list, len);
        rc = names_add(ns, word, e);
        free(word);
        if (rc < 0 || list[len] == '\0') {
            return rc;
        }
        list += len + 1;
    }
}

void names_deinit(struct names *ns)
{
    for (size_t i = 0; i < ns->n; i++) {
        free(ns->name[i]);
    }
    free(ns->name);
    *ns = (struct names){0};
}

bool names_follow(const char *a, const char *b)
{
    size_t a_len = strlen(a);
    size_t b_len = strlen(b);
    size_t at = number_at(a, a_len);
    char next[DIGITS_MAX + 8];
    int n;

    if (at == 0 || at == a_len || b_len < at || strncmp(a, b, at) != 0) {
        return false;
    }
    n = snprintf(next, sizeof next, "%0*lld", (int)(a_len - at),
                 (long long)number_of(a + at, a_len - at) + 1);
    return n > 0 && strcmp(b + at, next) == 0;
}

void names_fold(const char *const *name, size_t n, struct text *out)
{
    size_t written = 0;

    for (size_t i = 0; i < n;) {
        size_t end = i + 1;

        while (end < n && names_follow(name[end - 1], name[end])) {
            end++;
        }
        if (end - i >= FOLD_LEAST) {
            text_add_listed(out, written++, name[i]);
            text_add(out, "..%s", name[end - 1]);
            i = end;
        } else {
            text_add_listed(out, written++, name[i++]);
        }
    }
}
