namespace KitMesh.Export.Account;

/// <summary>What to change next time.</summary>
/// <param name="Subject">The thing.</param>
/// <param name="Change">What to do about it.</param>
/// <param name="Number">The number that says so, with its unit.</param>
public sealed record ChangeNext(string Subject, string Change, string Number);
