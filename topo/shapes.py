"""Methods of frozen classes by the number of their fields, to which `topo/frozen.py` gives names.

They stand here so that Python compiles them once and not in every run. `python -m topo.frozen` writes them.
"""
# ruff: noqa
# mypy: ignore-errors

def __init_1__(self, a0): set_0(self, a0); pass

def __init_2__(self, a0, a1): set_0(self, a0); set_1(self, a1); pass

def __init_3__(self, a0, a1, a2): set_0(self, a0); set_1(self, a1); set_2(self, a2); pass

def __init_4__(self, a0, a1, a2, a3): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); pass

def __init_5__(self, a0, a1, a2, a3, a4): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); pass

def __init_6__(self, a0, a1, a2, a3, a4, a5): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); pass

def __init_7__(self, a0, a1, a2, a3, a4, a5, a6): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); pass

def __init_8__(self, a0, a1, a2, a3, a4, a5, a6, a7): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); pass

def __init_9__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); pass

def __init_10__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); pass

def __init_11__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); pass

def __init_12__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); pass

def __init_13__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); pass

def __init_14__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); pass

def __init_15__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); pass

def __init_16__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); pass

def __init_17__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); pass

def __init_18__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); pass

def __init_19__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); pass

def __init_20__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); set_19(self, a19); pass

def __init_21__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); set_19(self, a19); set_20(self, a20); pass

def __init_22__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); set_19(self, a19); set_20(self, a20); set_21(self, a21); pass

def __init_23__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21, a22): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); set_19(self, a19); set_20(self, a20); set_21(self, a21); set_22(self, a22); pass

def __init_24__(self, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21, a22, a23): set_0(self, a0); set_1(self, a1); set_2(self, a2); set_3(self, a3); set_4(self, a4); set_5(self, a5); set_6(self, a6); set_7(self, a7); set_8(self, a8); set_9(self, a9); set_10(self, a10); set_11(self, a11); set_12(self, a12); set_13(self, a13); set_14(self, a14); set_15(self, a15); set_16(self, a16); set_17(self, a17); set_18(self, a18); set_19(self, a19); set_20(self, a20); set_21(self, a21); set_22(self, a22); set_23(self, a23); pass

def __replace_1__(self, /, *, a0): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); pass; return made

def __replace_2__(self, /, *, a0, a1): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); pass; return made

def __replace_3__(self, /, *, a0, a1, a2): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); pass; return made

def __replace_4__(self, /, *, a0, a1, a2, a3): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); pass; return made

def __replace_5__(self, /, *, a0, a1, a2, a3, a4): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); pass; return made

def __replace_6__(self, /, *, a0, a1, a2, a3, a4, a5): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); pass; return made

def __replace_7__(self, /, *, a0, a1, a2, a3, a4, a5, a6): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); pass; return made

def __replace_8__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); pass; return made

def __replace_9__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); pass; return made

def __replace_10__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); pass; return made

def __replace_11__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); pass; return made

def __replace_12__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); pass; return made

def __replace_13__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); pass; return made

def __replace_14__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); pass; return made

def __replace_15__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); pass; return made

def __replace_16__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); pass; return made

def __replace_17__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); pass; return made

def __replace_18__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); pass; return made

def __replace_19__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); pass; return made

def __replace_20__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); set_19(made, self.a19 if a19 is unsaid else a19); pass; return made

def __replace_21__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); set_19(made, self.a19 if a19 is unsaid else a19); set_20(made, self.a20 if a20 is unsaid else a20); pass; return made

def __replace_22__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); set_19(made, self.a19 if a19 is unsaid else a19); set_20(made, self.a20 if a20 is unsaid else a20); set_21(made, self.a21 if a21 is unsaid else a21); pass; return made

def __replace_23__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21, a22): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); set_19(made, self.a19 if a19 is unsaid else a19); set_20(made, self.a20 if a20 is unsaid else a20); set_21(made, self.a21 if a21 is unsaid else a21); set_22(made, self.a22 if a22 is unsaid else a22); pass; return made

def __replace_24__(self, /, *, a0, a1, a2, a3, a4, a5, a6, a7, a8, a9, a10, a11, a12, a13, a14, a15, a16, a17, a18, a19, a20, a21, a22, a23): made = new(self.__class__); set_0(made, self.a0 if a0 is unsaid else a0); set_1(made, self.a1 if a1 is unsaid else a1); set_2(made, self.a2 if a2 is unsaid else a2); set_3(made, self.a3 if a3 is unsaid else a3); set_4(made, self.a4 if a4 is unsaid else a4); set_5(made, self.a5 if a5 is unsaid else a5); set_6(made, self.a6 if a6 is unsaid else a6); set_7(made, self.a7 if a7 is unsaid else a7); set_8(made, self.a8 if a8 is unsaid else a8); set_9(made, self.a9 if a9 is unsaid else a9); set_10(made, self.a10 if a10 is unsaid else a10); set_11(made, self.a11 if a11 is unsaid else a11); set_12(made, self.a12 if a12 is unsaid else a12); set_13(made, self.a13 if a13 is unsaid else a13); set_14(made, self.a14 if a14 is unsaid else a14); set_15(made, self.a15 if a15 is unsaid else a15); set_16(made, self.a16 if a16 is unsaid else a16); set_17(made, self.a17 if a17 is unsaid else a17); set_18(made, self.a18 if a18 is unsaid else a18); set_19(made, self.a19 if a19 is unsaid else a19); set_20(made, self.a20 if a20 is unsaid else a20); set_21(made, self.a21 if a21 is unsaid else a21); set_22(made, self.a22 if a22 is unsaid else a22); set_23(made, self.a23 if a23 is unsaid else a23); pass; return made

def __hash_1__(self): return hash((self.a0, ))

def __hash_2__(self): return hash((self.a0, self.a1, ))

def __hash_3__(self): return hash((self.a0, self.a1, self.a2, ))

def __hash_4__(self): return hash((self.a0, self.a1, self.a2, self.a3, ))

def __hash_5__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, ))

def __hash_6__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, ))

def __hash_7__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, ))

def __hash_8__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, ))

def __hash_9__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, ))

def __hash_10__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, ))

def __hash_11__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, ))

def __hash_12__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, ))

def __hash_13__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, ))

def __hash_14__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, ))

def __hash_15__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, ))

def __hash_16__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, ))

def __hash_17__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, ))

def __hash_18__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, ))

def __hash_19__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, ))

def __hash_20__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, ))

def __hash_21__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, ))

def __hash_22__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, ))

def __hash_23__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, self.a22, ))

def __hash_24__(self): return hash((self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, self.a22, self.a23, ))

def __eq_1__(self, other): return (self.a0, ) == (other.a0, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_2__(self, other): return (self.a0, self.a1, ) == (other.a0, other.a1, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_3__(self, other): return (self.a0, self.a1, self.a2, ) == (other.a0, other.a1, other.a2, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_4__(self, other): return (self.a0, self.a1, self.a2, self.a3, ) == (other.a0, other.a1, other.a2, other.a3, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_5__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_6__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_7__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_8__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_9__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_10__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_11__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_12__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_13__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_14__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_15__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_16__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_17__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_18__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_19__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_20__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, other.a19, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_21__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, other.a19, other.a20, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_22__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, other.a19, other.a20, other.a21, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_23__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, self.a22, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, other.a19, other.a20, other.a21, other.a22, ) if other.__class__ is self.__class__ else NotImplemented

def __eq_24__(self, other): return (self.a0, self.a1, self.a2, self.a3, self.a4, self.a5, self.a6, self.a7, self.a8, self.a9, self.a10, self.a11, self.a12, self.a13, self.a14, self.a15, self.a16, self.a17, self.a18, self.a19, self.a20, self.a21, self.a22, self.a23, ) == (other.a0, other.a1, other.a2, other.a3, other.a4, other.a5, other.a6, other.a7, other.a8, other.a9, other.a10, other.a11, other.a12, other.a13, other.a14, other.a15, other.a16, other.a17, other.a18, other.a19, other.a20, other.a21, other.a22, other.a23, ) if other.__class__ is self.__class__ else NotImplemented

