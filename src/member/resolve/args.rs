//! Arguments to parameters, by place or by name.

use crate::diagnostic::closest;
use crate::language::tree::{Arg, At, ExprId, Param};

/// Which argument each parameter gets; `None` where its default stands.
///
/// The error has its place and a message with `{}` for the recipe's name.
pub(super) fn match_args<'t>(
    args: &[Arg],
    params: &[Param],
    words: &[&str],
    name_of: impl Fn(At) -> &'t str,
) -> Result<Vec<Option<ExprId>>, (Option<At>, String)> {
    let mut bound: Vec<Option<ExprId>> = vec![None; params.len()];
    let mut named = false;
    for (i, arg) in args.iter().enumerate() {
        let index = match arg.name {
            Some(at) => {
                named = true;
                let wanted = name_of(at);
                match words.iter().position(|&word| word == wanted) {
                    Some(index) => index,
                    None => {
                        let near = closest(wanted, words.iter().copied());
                        let near = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
                        let message = format!("`{{}}` has no parameter `{wanted}`{near}");
                        return Err((Some(at), message));
                    }
                }
            }
            None if named => {
                let message = "values without a name stand before those with one".to_string();
                return Err((None, message));
            }
            None => i,
        };
        match bound.get_mut(index) {
            None => {
                let message =
                    format!("`{{}}` takes {} values and is given {}", params.len(), args.len());
                return Err((None, message));
            }
            Some(Some(_)) => {
                let word = words.get(index).copied().unwrap_or("");
                return Err((arg.name, format!("`{word}` of `{{}}` is given twice")));
            }
            Some(slot) => *slot = Some(arg.value),
        }
    }
    for ((param, value), word) in params.iter().zip(&bound).zip(words) {
        if param.default.is_none() && value.is_none() {
            return Err((None, format!("`{{}}` needs a value for `{word}`")));
        }
    }
    Ok(bound)
}
