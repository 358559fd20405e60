namespace KitMesh.Hub;

/// <summary>The hub cannot start. The message says what happened, to which thing, and what to do.</summary>
/// <param name="message">For a person.</param>
/// <param name="inner">What the system said.</param>
public sealed class HubStartException(string message, Exception? inner = null) : Exception(message, inner);
