namespace KitMesh.Tests.Architecture;

/// <summary>Finds the files of the checkout that the tests were built from.</summary>
internal static class SourceTree
{
    private static readonly string Root = FindRoot();

    public static string PathTo(params string[] parts) => Path.Combine([Root, .. parts]);

    public static IEnumerable<string> CSharpFiles(string folder) =>
        Directory
            .EnumerateFiles(PathTo(folder), "*.cs", SearchOption.AllDirectories)
            .Where(file => !IsBuildOutput(file));

    public static string Relative(string file) => Path.GetRelativePath(Root, file).Replace('\\', '/');

    private static bool IsBuildOutput(string file) =>
        Relative(file).Split('/').Any(part => part is "bin" or "obj");

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
