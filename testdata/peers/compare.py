"""A table of figures held against each other."""


class Table:
    def __init__(self):
        self.differ = 0

    def _line(self, what, got, want, ok):
        self.differ += not ok
        print(f"{'same' if ok else 'DIFFERS':8} {what:28} {got!s:>24} {want!s:>24}")

    def same(self, what, got, want):
        self._line(what, got, want, got == want)

    def close(self, what, got, want, relative, absolute):
        """Within either tolerance; a null only beside a null."""
        if got is None or want is None:
            ok = got is None and want is None
        else:
            ok = abs(got - want) <= max(relative * abs(want), absolute)
        self._line(what, got, want, ok)

    def among(self, what, got, wants):
        """Not outside the range of wants."""
        if got is None or any(w is None for w in wants):
            self._line(what, got, wants[1], got is None and all(w is None for w in wants))
            return
        lo, hi = min(wants), max(wants)
        slack = 1e-9 * max(abs(lo), abs(hi))
        self._line(what, got, wants[1], lo - slack <= got <= hi + slack)

    def verdict(self):
        if self.differ:
            print(f"{self.differ} figures differ")
        return 1 if self.differ else 0
