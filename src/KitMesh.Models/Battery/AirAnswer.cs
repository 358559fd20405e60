namespace KitMesh.Models.Battery;

/// <summary>The answer, with its date.</summary>
/// <param name="Verdict">The verdict.</param>
/// <param name="Reason">Why and under which conditions, with the source and the safety words.</param>
/// <param name="RuleDate">Date or edition that the rule was taken from.</param>
public sealed record AirAnswer(AirVerdict Verdict, string Reason, string RuleDate);
