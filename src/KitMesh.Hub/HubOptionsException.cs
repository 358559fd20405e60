namespace KitMesh.Hub;

/// <summary>The hub was not started because its options are wrong.</summary>
/// <param name="problems">What is wrong, each with its mend.</param>
public sealed class HubOptionsException(IReadOnlyList<string> problems) : Exception(string.Join(Environment.NewLine, problems))
{
    /// <summary>What is wrong, each with its mend.</summary>
    public IReadOnlyList<string> Problems { get; } = problems;
}
