using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Models.Battery;

namespace KitMesh.Outlook.Plan;

/// <summary>What the passenger rules say of one kind of battery with one carrier.</summary>
/// <param name="Carrier">The person or team.</param>
/// <param name="Item">The battery.</param>
/// <param name="Each">Energy of one.</param>
/// <param name="Kind">How it travels.</param>
/// <param name="EachPerson">How many one person carries; a team's are shared out evenly over its people.</param>
/// <param name="Verdict">The rule's answer. The operator decides.</param>
/// <param name="Reason">Why.</param>
/// <param name="RuleDate">The date that the rule was taken from.</param>
public sealed record AirRow(KitId? Carrier, KitId Item, WattHours Each, AirKind Kind, int EachPerson, AirVerdict Verdict, string Reason, string RuleDate);
