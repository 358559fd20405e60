using KitMesh.Models.Battery;

namespace KitMesh.Cli.Commands.Calc;

/// <summary><c>kitmesh calc air</c>: what the passenger rules say of a battery.</summary>
internal sealed class CalcAirCommand : CalcVerb
{
    public override string Name => "air";

    public override string Meaning => "What passenger rules say of lithium batteries of one size, with the rule's date. The operator decides.";

    public override CalcColumn[] Inputs =>
    [
        new("Wh", "Energy of one battery in Wh (volts times ampere-hours), above 0."),
        new("kind", "spare, installed or power_bank."),
        new("count", "How many one person carries, 1 to 1,000.", "1"),
    ];

    public override string[] Outputs => ["verdict", "reason", "rule_date"];

    public override CalcAnswer Compute(CalcRow row)
    {
        int count = row.Whole("count", 1, 1_000);
        AirKind kind = row.Choice("kind", ("spare", AirKind.Spare), ("installed", AirKind.Installed), ("power_bank", AirKind.PowerBank));
        AirAnswer answer = AirRules.For(new(row.Positive("Wh")), kind, count);
        string verdict = answer.Verdict switch
        {
            AirVerdict.Allowed => "allowed",
            AirVerdict.AskOperator => "ask_operator",
            _ => "not_allowed",
        };
        return new CalcAnswer([verdict, answer.Reason, answer.RuleDate], null, answer.Verdict == AirVerdict.NotAllowed);
    }
}
