using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Footage.Ledger;

/// <summary>A copy rule as the ledger applies it.</summary>
/// <param name="Id">The declared rule; null for the least that common practice asks.</param>
/// <param name="Copies">Proven copies, at least 1.</param>
/// <param name="Drives">Different drives, at least 1.</param>
/// <param name="Cases">Different declared cases; 0 when cases do not matter.</param>
/// <param name="AgeTicks">A proof older than this no longer counts; <see cref="long.MaxValue"/> for no limit.</param>
/// <param name="EveningHour">Civil hour by which a day's cards should be released.</param>
/// <param name="MediaTypes">Different known media among the drives; 0 when media do not matter.</param>
internal sealed record RuleInForce(KitId? Id, int Copies, int Drives, int Cases, long AgeTicks, int EveningHour, int MediaTypes = 0)
{
    /// <summary>
    /// Used where no rule is declared: two copies on two drives in two cases. Common practice, no published source: two
    /// copies are the least, three are better, never all in one case.
    /// </summary>
    public static readonly RuleInForce Least = new(null, 2, 2, 2, long.MaxValue, 21);

    public static RuleInForce From(CopyRule rule) => new(
        rule.Id,
        Math.Max(1, rule.Copies),
        Math.Max(1, rule.Drives),
        Math.Max(0, rule.Cases),
        rule.RecheckAge is { } age ? Ticks(age) : long.MaxValue,
        Math.Clamp(rule.EveningHour, 0, 23),
        Math.Max(0, rule.MediaTypes));

    /// <summary>The strictest of several rules, for a trip whose file leaves the choice open.</summary>
    public static RuleInForce Strictest(IEnumerable<RuleInForce> rules) => rules
        .OrderByDescending(rule => rule.Copies)
        .ThenByDescending(rule => rule.Cases)
        .ThenByDescending(rule => rule.Drives)
        .ThenByDescending(rule => rule.MediaTypes)
        .ThenBy(rule => rule.AgeTicks)
        .ThenBy(rule => rule.Id)
        .First();

    public bool IsMetBy(in ProofCount proof) =>
        proof.Copies >= Copies && proof.Drives >= Drives && proof.Cases >= Cases && proof.MediaTypes >= MediaTypes;

    /// <summary>What is missing, in words; null when met.</summary>
    public string? Missing(in ProofCount proof)
    {
        if (IsMetBy(proof))
        {
            return null;
        }

        List<string> parts = [];
        if (proof.Copies < Copies)
        {
            parts.Add($"{proof.Copies} of {Copies} proven copies");
        }

        if (proof.Drives < Drives)
        {
            parts.Add($"on {proof.Drives} of {Drives} drives");
        }

        if (proof.Cases < Cases)
        {
            parts.Add($"in {proof.Cases} of {Cases} cases");
        }

        if (proof.MediaTypes < MediaTypes)
        {
            parts.Add($"on {proof.MediaTypes} of {MediaTypes} media types");
        }

        return string.Join(", ", parts);
    }

    /// <summary>The same for a clip: what only wants reading again is not missing.</summary>
    public string? Missing(in ClipEntry clip) => clip is { MeetsRule: false, MeetsRuleButForAge: true }
        ? "a recheck: proofs older than the rule allows"
        : Missing(clip.Proof);

    private static long Ticks(NodaTime.Duration age) =>
        age.TotalDays is >= 0 and < 100_000 ? age.BclCompatibleTicks : long.MaxValue;
}
