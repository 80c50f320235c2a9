#include "daemon/store/program_id.h"

#include <elf.h>
#include <link.h>
#include <nettle/sha2.h>
#include <stdbool.h>
#include <string.h>

struct sum {
    struct sha256_ctx hash;
    bool first;   /* what is looked at is the program itself … */
    bool has_own; /* … and that has a build id */
};

static size_t aligned(size_t n)
{
    return (n + 3) & ~(size_t)3;
}

/* A note is its name's length, its own, a type, the name and itself, each padded to four bytes. */
static bool add_notes(struct sum *s, const unsigned char *at, size_t left)
{
    bool found = false;
    ElfW(Nhdr) n;

    while (left >= sizeof n) {
        size_t len;

        memcpy(&n, at, sizeof n);
        len = sizeof n + aligned(n.n_namesz) + aligned(n.n_descsz);
        if (len > left) {
            break;
        }
        if (n.n_type == NT_GNU_BUILD_ID && n.n_namesz == sizeof "GNU" &&
            memcmp(at + sizeof n, "GNU", sizeof "GNU") == 0) {
            sha256_update(&s->hash, n.n_descsz, at + sizeof n + aligned(n.n_namesz));
            found = true;
        }
        at += len;
        left -= len;
    }
    return found;
}

static int add_object(struct dl_phdr_info *info, size_t size, void *ctx)
{
    struct sum *s = ctx;
    bool found = false;

    (void)size;
    for (unsigned i = 0; i < info->dlpi_phnum; i++) {
        const ElfW(Phdr) *p = &info->dlpi_phdr[i];

        if (p->p_type == PT_NOTE) {
            /* NOLINTNEXTLINE(performance-no-int-to-ptr): where the loader put it */
            const unsigned char *at = (const unsigned char *)(info->dlpi_addr + p->p_vaddr);

            found = add_notes(s, at, p->p_memsz) || found;
        }
    }
    s->has_own = s->first ? found : s->has_own;
    s->first = false;
    return 0;
}

static void add_processor(struct sum *s)
{
    unsigned char has[3] = {0};

#if defined(__x86_64__)
    has[0] = __builtin_cpu_supports("fma") != 0;
    has[1] = __builtin_cpu_supports("fma4") != 0;
    has[2] = __builtin_cpu_supports("avx2") != 0;
#endif
    sha256_update(&s->hash, sizeof has, has);
}

struct seal program_id(void)
{
    struct sum s = {.first = true};
    struct seal id = {{0}};

    sha256_init(&s.hash);
    (void)dl_iterate_phdr(add_object, &s);
    add_processor(&s);
    if (s.has_own) {
        sha256_digest(&s.hash, sizeof id.byte, id.byte);
    }
    return id;
}
