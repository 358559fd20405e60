using KitMesh.Alerts.Inputs;
using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Alerts.Rules.Mesh;

/// <summary>What is said to be of a node is not what the node signed: forged on the way, or written by two devices under one name.</summary>
public sealed class SealsDoNotFit : IAlertRule
{
    /// <inheritdoc/>
    public string Name => "seals-do-not-fit";

    /// <inheritdoc/>
    public AlertWeight Weight => AlertWeight.Act;

    /// <inheritdoc/>
    public string Summary => "Reports are not those that their device signed: forged on the way, or its disk was restored or copied.";

    /// <inheritdoc/>
    public bool ClearsUnmentioned => true;

    /// <inheritdoc/>
    public IEnumerable<Finding> Judge(AlertInputs inputs, Func<KitId, bool> stands)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        return inputs.DoubtfulOrigins
            .GroupBy(origin => origin.Origin.Node)
            .Select(node => new Finding(KitId.Parse(node.Key.Value), Fires: true, Words(node.First()), "They are kept and prove nothing. Compare the cards and drives with the device itself, let it check its copies again, and look through which hub these reports came."));
    }

    private static string Words(DoubtfulOrigin origin) => origin.WrongSignature
        ? $"A seal of {origin.Origin} up to report {origin.Last} was not signed by {origin.Origin.Node}: somebody wrote it in its name."
        : $"Reports {origin.First} to {origin.Last} of {origin.Origin} are not those that {origin.Origin.Node} signed: altered on the way, or its disk was restored or copied.";
}
