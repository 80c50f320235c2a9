/* peer.h - who is at the other end of a socket, as the kernel has it. */
#ifndef TARN_SERVE_NET_PEER_H
#define TARN_SERVE_NET_PEER_H

#include <stdint.h>
#include <uv.h>

#define PEER_NAME_LEN 33 /* bytes, the NUL included */

/* The user of the process that connected, when it did: its number ((uint32_t)-1 where the kernel
 * does not say), and its name, or "uid 1234" where it has none. */
void peer_of(const uv_pipe_t *pipe, uint32_t *out_uid, char who[PEER_NAME_LEN]);

#endif
