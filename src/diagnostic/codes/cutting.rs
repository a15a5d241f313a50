super::codes! {
E1001 "cut-not-a-number" Error "a whole number is wanted in a list of lengths"
"`cut` reads plain numbers: the number of lengths, the stock, then one `length demand` a line. A word, a fraction, a decimal point or a number with a unit stands where a whole number is wanted. What is to be cut from what would have to be guessed.

Write all lengths in one unit that leaves no fraction, such as tenths of a millimetre."

E1002 "cut-ends-early" Error "a list of lengths ends before it is whole"
"The first number says how many lengths follow, and fewer do; or the file is empty, or ends before the stock is given. A file that was cut off in copying would be nested without its last pieces, and they would be missing on site."

E1003 "cut-trailing" Error "more stands in a list of lengths than its first number says"
"After as many lengths as the first number announces something else follows, or a line holds more numbers than it should. One of the two is wrong, and pieces that are wanted may be left out."

E1004 "cut-not-positive" Error "a length, number or cost is zero or less"
"Stock and pieces have a length above zero, each length is wanted at least once, and what stock costs is above zero. A zero is mostly an empty cell of a table, a negative number a slip."

E1005 "cut-too-large" Error "a number is larger than anything that can be cut"
"Lengths and costs go up to ten million million, ten kilometres in nanometres; pieces up to a thousand million; kinds of stock up to a thousand. Larger numbers are a digit too many, or numbers that ran together when a file was made, and sums of them would not be exact."

E1006 "cut-longer-than-stock" Error "a piece is longer than any stock"
"A piece can be cut only from a stock at least as long as itself. Look for a slip in the length, for another unit than the stock's, or for a kind of stock that is missing from the file."

E1007 "cut-stock-short" Error "the stock there is does not hold the pieces"
"Every kind of stock in the file is limited in number. No way was found to cut all pieces from them. The message says whether none exists, because there is less length than the pieces take, or whether the search merely ended without one."

E1008 "cut-contradicts-itself" Error "a cutting plan did not survive its own check"
"Every plan is counted again from nothing before it is printed, and every bound is proved again from its certificate by a checker that shares nothing with the search. One of them failed, which is a fault in Coilwright and not in the file. Nothing was printed for it."

W1009 "cut-bound-unproved" Warning "a bound could not be proved again"
"The search gave a bound whose certificate the checker did not accept within its limits. The plan stands, for it was counted again; the bound that is printed is the weaker one that follows from lengths alone, and nothing is called proved."
}
