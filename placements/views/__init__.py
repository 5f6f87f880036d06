"""The pages of the plan, by topic. A view finds the object through `access`, calls one service, renders one context."""
