#include "hub/feed/shared.h"

#include "hub/wire/flavour.h"

namespace honbu {

const Shared& Encoded::in(Form form) {
    if (form != Form::json) return bytes;
    if (!text) text = shared(client_json(*bytes));
    return text;
}

}  // namespace honbu
