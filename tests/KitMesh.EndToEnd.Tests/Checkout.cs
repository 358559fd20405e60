namespace KitMesh.EndToEnd.Tests;

/// <summary>Files of the checkout that the tests were built from.</summary>
internal static class Checkout
{
    private static readonly string Root = FindRoot();

    public static string PathTo(params string[] parts) => Path.Combine([Root, .. parts]);

    public static string Read(params string[] parts) => File.ReadAllText(PathTo(parts));

    private static string FindRoot()
    {
        for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "KitMesh.sln")))
            {
                return folder.FullName;
            }
        }

        throw new InvalidOperationException("The tests must run from inside a checkout: no KitMesh.sln above the test folder.");
    }
}
