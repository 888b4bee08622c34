"""Operations: reading functions, and the verbs that are the only writers.

Every function takes the session first and never commits; every verb takes the hand that signs it.
"""
